"""On which day each sheet or length of roll is printed: what is needed first comes first, no day longer than it may."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from campaign.measures.workdays import next_workday

HOURS_A_DAY = 24
ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Sheetful:
    """
    What is printed in one go: a sheet or a length of roll. `framing_days` None where nothing of it hangs.

    `framing_days` are the working days of the longest finish on it, `drying_hours` those of its paper.
    """

    code: str
    seconds: int
    framing_days: int | None = None
    drying_hours: int = 0


@dataclass(frozen=True, slots=True)
class Timed:
    """When one comes out, from which day on it is dry, and from which day on what hangs of it can be hung."""

    code: str
    printed_on: date
    dry_on: date
    ready_on: date | None


@dataclass(frozen=True, slots=True)
class PrintDay:
    """One day at the printer."""

    on: date
    codes: tuple[str, ...]
    seconds: int


@dataclass(frozen=True, slots=True)
class PrintingDays:
    """All days in order; `too_long` are codes of what takes longer than a whole day may be and is on none."""

    days: tuple[PrintDay, ...]
    times: tuple[Timed, ...]
    too_long: tuple[str, ...]


def fill_days(
    sheetfuls: Sequence[Sheetful],
    *,
    first_on: date,
    seconds_a_day: int,
    seconds_gone: int = 0,
    days_off: Collection[date] = (),
) -> PrintingDays:
    """
    Fill working days from `first_on` on, in order of need: what hangs with the longest framing, then all others.

    Parameters: sheetfuls, codes all different, in the order in which they come out where need is the same;
        seconds_a_day, the longest day, >= 1; seconds_gone, what is printed on `first_on` already; days_off, besides
        weekends.
    Returns: each on one day as a whole; nothing that is needed more comes out later than what is needed less. Dry
        after begun days of 24 hours that follow the print day; framed on working days after that.

    >>> friday = date(2026, 3, 6)
    >>> plan = fill_days([Sheetful("a", 60), Sheetful("b", 60, 2, 24)], first_on=friday, seconds_a_day=100)
    >>> [(day.on.isoformat(), day.codes) for day in plan.days], plan.times[0].ready_on.isoformat()
    ([('2026-03-06', ('b',)), ('2026-03-09', ('a',))], '2026-03-11')
    """
    ordered = sorted(sheetfuls, key=lambda one: (one.framing_days is None, -(one.framing_days or 0)))
    days: list[tuple[date, list[Sheetful]]] = []
    on, left = next_workday(first_on, days_off), seconds_a_day
    if on == first_on:
        left = max(0, left - seconds_gone)
    for one in ordered:
        if one.seconds > seconds_a_day:
            continue
        if one.seconds > left:
            on, left = next_workday(on + ONE_DAY, days_off), seconds_a_day
        if not days or days[-1][0] != on:
            days.append((on, []))
        days[-1][1].append(one)
        left -= one.seconds
    return PrintingDays(
        days=tuple(PrintDay(day, tuple(o.code for o in here), sum(o.seconds for o in here)) for day, here in days),
        times=tuple(_timed(one, printed_on=day, days_off=days_off) for day, here in days for one in here),
        too_long=tuple(one.code for one in ordered if one.seconds > seconds_a_day),
    )


def _timed(one: Sheetful, *, printed_on: date, days_off: Collection[date]) -> Timed:
    dry_on = printed_on + ONE_DAY + timedelta(days=-(-one.drying_hours // HOURS_A_DAY))
    ready_on = None
    if one.framing_days is not None:
        ready_on = dry_on
        for _ in range(one.framing_days):
            ready_on = next_workday(ready_on, days_off) + ONE_DAY
    return Timed(one.code, printed_on, dry_on, ready_on)
