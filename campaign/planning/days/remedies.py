"""What is late in a schedule, and what can still be done about it; every way out is tried before it is named."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from campaign.planning.days.network import Counted
from campaign.planning.days.schedule import Schedule, ScheduleItem, ShowDays, plan_days

MOST_PRINT_SECONDS_A_DAY = 12 * 3600
HALF_AN_HOUR = 1800
LATEST_SHIFT_DAYS = 400
# Items that follow from others: their lateness is a consequence, never the cause.
CONSEQUENCES = ("launch", "money", "orders", "hang", "opening", "posting")
NEEDS = {
    "campaign": "The campaign needs",
    "payout": "The pay-out needs",
    "materials": "The delivery of materials needs",
    "proof": "The proof needs",
    "printing": "Printing needs",
    "drying": "Drying needs",
    "framing": "Finishing and framing need",
}


@dataclass(frozen=True, slots=True)
class Smaller:
    """Another show on the staircase: how many works hang, the printing of it all, its longest finish."""

    works: int
    printer_seconds: int
    framing_days: int


def explain_lateness(schedule: Schedule, *, works: int, offers: Sequence[Smaller] = ()) -> tuple[str, ...]:
    """
    What is late and what can still be done, one plain sentence each; nothing where everything is in time.

    Parameters: works, how many hang in the plan the schedule is for; offers, other shows, the best first.
    Notes: a way out is named only if the schedule worked out anew with it alone is on time.
    """
    late = schedule.late
    if not late:
        return ()
    ways = list(_ways_out(schedule.days, works=works, offers=offers))
    said = [
        f"{_shortage(schedule)}: {_either(ways)}." if ways else f"{_shortage(schedule)}. {_last_way(schedule.days)}"
    ]
    posting = schedule.find("posting")
    if posting in late and posting is not None:
        said.append(
            f"Prints can be posted from {_day(posting.first_on)} on; {_day(posting.latest_last_on)} was promised."
        )
    said += [f"{item.name}: {_day(item.latest_last_on)} at the latest, already past." for item in late if item.is_past]
    return tuple(said)


def _shortage(schedule: Schedule) -> str:
    cause = _cause(schedule)
    if cause is None:  # nothing takes time any more, the day itself has gone by
        return f"{schedule.late[0].name} is too late"
    missing = -cause.float_days
    days = "1 more day than there is" if missing == 1 else f"{missing} more days than there are"
    return f"{NEEDS[cause.code]} {days}"


def _cause(schedule: Schedule) -> ScheduleItem | None:
    """The longest late step, the first of equals; a working step before one of calendar days."""
    causes = [item for item in schedule.late if item.code not in CONSEQUENCES and item.length_days]
    return max(causes, key=lambda item: (item.counted is Counted.WORKING_DAYS, item.length_days), default=None)


def _ways_out(days: ShowDays, *, works: int, offers: Sequence[Smaller]) -> Iterator[str]:
    close_by = _close_by(days)
    if close_by is not None:
        yield f"close the campaign by {_day(close_by)}"
    seconds = _seconds_a_day(days)
    if seconds is not None:
        yield f"print {_hours(seconds)} a day"
    smaller = next((one for one in offers if one.works <= works and _in_time(_with(days, one))), None)
    if smaller is not None:
        fewer = smaller.works < works
        yield f"hang {smaller.works} works instead of {works}" if fewer else "hang them smaller or more plainly"
    framing = _framing_days(days)
    if framing is not None:
        yield (
            f"choose finishes that take {framing} working days instead of {days.framing_days}"
            if framing
            else ("choose finishes that need no framer")
        )
    if days.closed_on is None and (days.material_days or days.payout_days):
        ahead = replace(days, material_days=0, payout_days=0)
        if _in_time(ahead):
            yield "order the materials before the campaign closes, if you can pay for them yourself"


def _in_time(days: ShowDays) -> bool:
    return not plan_days(days).late


def _with(days: ShowDays, smaller: Smaller) -> ShowDays:
    return replace(days, printer_seconds=smaller.printer_seconds, framing_days=smaller.framing_days)


def _close_by(days: ShowDays) -> date | None:
    """The latest evening on which closing is early enough, None if it is past or the campaign has ended."""
    campaign = plan_days(days).find("campaign")
    if days.closed_on is not None or campaign is None:
        return None
    close_by = min(campaign.latest_last_on, days.closes_on)
    if close_by < max(days.today_on, days.opens_on):
        return None
    return close_by if _in_time(replace(days, closes_on=close_by)) else None


def _seconds_a_day(days: ShowDays) -> int | None:
    """The fewest seconds of printing a day, in half hours, that are enough."""
    if not days.printer_seconds:
        return None
    first = (days.print_seconds_a_day // HALF_AN_HOUR + 1) * HALF_AN_HOUR
    tries = range(first, MOST_PRINT_SECONDS_A_DAY + 1, HALF_AN_HOUR)
    return next((seconds for seconds in tries if _in_time(replace(days, print_seconds_a_day=seconds))), None)


def _framing_days(days: ShowDays) -> int | None:
    """The most working days that finishing may take."""
    tries = range(days.framing_days - 1, -1, -1)
    return next((framing for framing in tries if _in_time(replace(days, framing_days=framing))), None)


def _last_way(days: ShowDays) -> str:
    """When hanging could begin if the gallery agrees, and the promise to backers were another."""
    for shift in range(1, LATEST_SHIFT_DAYS):
        later = days.hang_on + timedelta(days=shift)
        moved = replace(days, hang_on=later, opening_on=max(days.opening_on, later), posting_by_on=None)
        if _in_time(moved):
            return f"Nothing alone is enough; all could be ready for hanging on {_day(later)}, if the gallery agrees."
    return "Nothing alone is enough."


def _either(ways: Sequence[str]) -> str:
    *first, last = ways
    comma = "," if len(first) > 1 else ""
    return f"{', '.join(first)}{comma} or {last}" if first else last


def _hours(seconds: int) -> str:
    hours, half = divmod(seconds, 3600)
    return f"{hours}½ hours" if half else f"{hours} hour{'s' if hours > 1 else ''}"


def _day(day: date) -> str:
    return f"{day:%-d %B}"
