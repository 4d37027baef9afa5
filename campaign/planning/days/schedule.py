"""The dates of a show: backwards from the opening, forwards from today, and what lies between."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from campaign.planning.days.network import Activity, Counted, Time, Times, critical_path, run_network
from campaign.planning.days.working_time import WorkingTime
from campaign.planning.errors import InvalidRequest, require

HOURS_A_DAY = 24
ONE_DAY = timedelta(days=1)
# Steps that the artist can say are begun or done; the others follow from the campaign's own state.
OWN_STEPS = ("materials", "proof", "printing", "drying", "framing")
NAMES = {
    "launch": "Launch",
    "campaign": "Orders are taken",
    "payout": "The money is paid out",
    "money": "Money cut-off",
    "materials": "Materials ordered and delivered",
    "proof": "Proof",
    "orders": "Order cut-off",
    "printing": "Printing",
    "drying": "Drying",
    "framing": "Finishing and framing",
    "posting": "Prints packed and posted",
    "hang": "Hanging day",
    "opening": "Opening",
}
WORKING, CALENDAR = Counted.WORKING_DAYS, Counted.CALENDAR_DAYS


@dataclass(frozen=True, slots=True)
class Progress:
    """A step on which work has begun, and the day on which it was done, where it is."""

    code: str
    begun_on: date
    done_on: date | None = None

    def __post_init__(self) -> None:
        if self.code not in OWN_STEPS:
            raise InvalidRequest(field="code", found=self.code, expected=f"one of {', '.join(OWN_STEPS)}")
        if self.done_on is not None and self.done_on < self.begun_on:
            raise InvalidRequest(field="done_on", found=self.done_on, expected="the day it was begun, or later")


@dataclass(frozen=True, slots=True)
class ShowDays:
    """
    Everything the dates of a show depend on.

    Orders are taken from `opens_on` to the evening of `closes_on`; `closed_on` is when they really ended. Working
    days: `material_days`, `proof_days`, printing, `framing_days` (the longest of the finishes that hang). Calendar
    days: `payout_days`, drying (begun days of `drying_hours`). `days_off` are public holidays and the artist's own
    closed days. `posting_by_on` is the promise to backers, None where no print is posted.
    """

    today_on: date
    opens_on: date
    closes_on: date
    hang_on: date
    opening_on: date
    is_launched: bool = False
    closed_on: date | None = None
    posting_by_on: date | None = None
    payout_days: int = 0
    material_days: int = 0
    proof_days: int = 0
    printer_seconds: int = 0
    print_seconds_a_day: int = 4 * 3600
    drying_hours: int = 0
    framing_days: int = 0
    days_off: frozenset[date] = frozenset()
    progress: tuple[Progress, ...] = ()

    def __post_init__(self) -> None:
        for field in ("payout_days", "material_days", "proof_days", "printer_seconds", "drying_hours", "framing_days"):
            require(field=field, found=getattr(self, field), least=0)
        require(field="print_seconds_a_day", found=self.print_seconds_a_day, least=1)
        if self.hang_on > self.opening_on:
            raise InvalidRequest(field="hang_on", found=self.hang_on, expected="the opening's day or earlier")
        if self.opens_on > self.closes_on:
            raise InvalidRequest(field="closes_on", found=self.closes_on, expected="a day after the launch")

    @property
    def print_days(self) -> int:
        """Working days that printing fills; a begun day counts whole."""
        return -(-self.printer_seconds // self.print_seconds_a_day)

    @property
    def drying_days(self) -> int:
        """Calendar days of drying; begun 24 hours count whole, nothing dries where nothing is printed."""
        return -(-self.drying_hours // HOURS_A_DAY) if self.printer_seconds else 0

    @property
    def is_over(self) -> bool:
        """True once hanging day is past: from then on nothing can be late any more."""
        return self.today_on > self.hang_on


@dataclass(frozen=True, slots=True)
class ScheduleItem:
    """
    One line of the schedule; days are whole and both ends belong to it. `counted` None: a moment, on one day.

    `first_on` to `last_on` is the earliest it can be (or when it was, if `is_done`), `latest_first_on` to
    `latest_last_on` the latest it may be. `float_days` lies between the two, counted as its own length is; below zero
    the item is late by so much.
    """

    code: str
    name: str
    counted: Counted | None
    length_days: int
    first_on: date
    last_on: date
    latest_first_on: date
    latest_last_on: date
    float_days: int
    free_float_days: int
    is_critical: bool
    is_begun: bool
    is_done: bool
    is_past: bool

    @property
    def is_late(self) -> bool:
        """True if it cannot be over in time any more."""
        return self.float_days < 0 and not self.is_done


@dataclass(frozen=True, slots=True)
class Schedule:
    """All items in the order they run, and the days they were made from."""

    days: ShowDays
    items: tuple[ScheduleItem, ...]

    def find(self, code: str) -> ScheduleItem | None:
        """The item of that code, None where the show has no such step."""
        return next((item for item in self.items if item.code == code), None)

    @property
    def late(self) -> tuple[ScheduleItem, ...]:
        """What cannot be ready in time; nothing once hanging day is past."""
        return () if self.days.is_over else tuple(item for item in self.items if item.is_late)


def plan_days(days: ShowDays) -> Schedule:
    """
    Earliest dates forwards from today, latest dates backwards from hanging day and from the promise to backers.

    Returns: the items from launch to opening; steps that take no time are left out.
    Notes: latest dates do not depend on today, but for a launch that is overdue. The critical path is the chain that
        decides when hanging can begin, or posting where that has less room.
    Source: backwards plan of the notes on the trade §7; checked in tests/outside/test_cpm.py.
    """
    activities = _activities(days)
    time = WorkingTime(days.days_off)
    start = days.opens_on if days.is_over else days.today_on
    times = run_network(activities, start=start.toordinal(), measure=time)
    critical = _critical(activities, times=times)
    done = {"launch"} if days.is_launched else set()
    done |= {"campaign"} if days.closed_on else set()
    done |= {step.code for step in days.progress if step.done_on}
    begun = done | {step.code for step in days.progress} | ({"campaign"} if days.is_launched else set())
    items = tuple(
        _item(activity, times=times[activity.code], days=days, critical=critical, begun=begun, done=done)
        for activity in activities
    )
    return Schedule(days=days, items=items)


def on_settings(days: ShowDays) -> ShowDays:
    """The same show as it was meant to run: nothing begun, closing on its day, seen from the launch."""
    return replace(days, today_on=days.opens_on, is_launched=False, closed_on=None, progress=())


def _activities(days: ShowDays) -> list[Activity]:
    """The chain from launch to opening; what takes no time is stepped over."""
    chain = [
        ("payout", days.payout_days, CALENDAR),
        ("money", 0, CALENDAR),
        ("materials", days.material_days, WORKING),
        ("proof", days.proof_days, WORKING),
        ("printing", days.print_days, WORKING),
        ("drying", days.drying_days, CALENDAR),
        ("framing", days.framing_days, WORKING),
    ]
    found = _campaign(days)
    before: tuple[str, ...] = ("campaign",)
    dried = before
    progress = {step.code: step for step in days.progress}
    for code, length, counted in chain:
        if length == 0 and code != "money":
            continue
        if code == "printing":
            found.append(Activity("orders", 0, ("campaign",)))
            before = (*before, "orders")
        activity = Activity(code, length, before, counted=counted)
        found.append(_as_done(activity, progress=progress.get(code), days=days))
        before = (code,)
        dried = before if code != "framing" else dried
    if days.posting_by_on is not None:
        by = days.posting_by_on.toordinal() + 1
        found.append(Activity("posting", 1, dried, counted=WORKING, not_after=by))
    hang_on, opening_on = days.hang_on.toordinal(), days.opening_on.toordinal()
    hanging = 1 if hang_on < opening_on else 0  # on the opening's own day it takes the morning
    found.append(Activity("hang", hanging, before, not_before=hang_on, not_after=hang_on + hanging))
    found.append(Activity("opening", 1, ("hang",), not_before=opening_on, not_after=opening_on + 1))
    return found


def _campaign(days: ShowDays) -> list[Activity]:
    opens_on, closes_on = days.opens_on.toordinal(), days.closes_on.toordinal()
    launch = Activity("launch", 0, not_before=opens_on, fixed=(opens_on, opens_on) if days.is_launched else None)
    # The close has its day: a launch that comes later than meant makes the campaign shorter.
    late_by = max(0, days.today_on.toordinal() - opens_on) if not (days.is_launched or days.is_over) else 0
    length = max(1, closes_on - opens_on + 1 - late_by)
    fixed = None
    if days.closed_on is not None:
        fixed = (opens_on, max(opens_on, days.closed_on.toordinal() + 1))
    elif days.is_launched:
        last_on = closes_on if days.is_over else max(closes_on, days.today_on.toordinal())
        fixed = (opens_on, last_on + 1)
    return [launch, Activity("campaign", length, ("launch",), fixed=fixed)]


def _as_done(activity: Activity, *, progress: Progress | None, days: ShowDays) -> Activity:
    """The activity with the days on which it really began and ended, or will end at the earliest."""
    if progress is None:
        return activity
    begun = progress.begun_on.toordinal()
    if progress.done_on is not None:
        return replace(activity, fixed=(begun, progress.done_on.toordinal() + 1))
    _, finish = WorkingTime(days.days_off).forward(activity, begun)
    if not days.is_over:
        finish = max(finish, days.today_on.toordinal() + 1)
    return replace(activity, fixed=(begun, finish))


def _critical(activities: Sequence[Activity], *, times: Mapping[str, Times]) -> frozenset[str]:
    """The path to what has the least room: hanging or posting."""

    def room(activity: Activity) -> int:
        ready = max(times[code].earliest_finish for code in activity.after)
        return int(times[activity.code].latest_start - ready)

    ends = [activity for activity in activities if activity.code in ("hang", "posting")]
    tightest = min(ends, key=lambda activity: (room(activity), activity.code))
    # The order cut-off only follows from the others.
    path = {*critical_path(activities, times=times, to=tightest.code)} - {"orders"}
    return frozenset(path | {"hang", "opening"} if tightest.code == "hang" else path)


def _item(
    activity: Activity,
    *,
    times: Times,
    days: ShowDays,
    critical: frozenset[str],
    begun: set[str],
    done: set[str],
) -> ScheduleItem:
    is_moment = activity.duration == 0
    # The last order comes in on the evening before the first print: the day that ends where the printing begins.
    ends_a_day = not is_moment or activity.code == "orders"

    def both(start: Time, finish: Time) -> tuple[date, date]:
        last = date.fromordinal(int(finish) - ends_a_day)
        return (last if is_moment else date.fromordinal(int(start)), last)

    first_on, last_on = both(times.earliest_start, times.earliest_finish)
    latest_first_on, latest_last_on = both(times.latest_start, times.latest_finish)
    is_done = activity.code in done
    return ScheduleItem(
        code=activity.code,
        name=NAMES[activity.code],
        counted=None if is_moment else activity.counted,
        length_days=int(activity.duration),
        first_on=first_on,
        last_on=last_on,
        latest_first_on=latest_first_on,
        latest_last_on=latest_last_on,
        float_days=int(times.total_float),
        free_float_days=int(times.free_float),
        is_critical=activity.code in critical and not is_done,
        is_begun=activity.code in begun,
        is_done=is_done,
        is_past=not is_done and not days.is_over and latest_last_on < days.today_on,
    )
