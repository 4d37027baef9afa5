"""Counting working days; which days are holidays is the caller's to say."""

from collections.abc import Collection, Iterable
from datetime import date, timedelta

import holidays as holiday_calendars

ONE_DAY = timedelta(days=1)
SATURDAY = 5


def public_holidays(country: str, *, years: Iterable[int], region: str | None = None) -> frozenset[date]:
    """
    Public holidays of a country (ISO 3166 code) and, where given, of one of its regions.

    Raises: NotImplementedError for a country or region that the calendar package does not know.
    Source: the `holidays` package; Easter checked in tests/outside/test_easter_and_workdays.py.
    """
    return frozenset(holiday_calendars.country_holidays(country, subdiv=region, years=list(years)))


def is_workday(day: date, holidays: Collection[date] = ()) -> bool:
    """True from Monday to Friday unless the day is in `holidays`."""
    return day.weekday() < SATURDAY and day not in holidays


def next_workday(day: date, holidays: Collection[date] = ()) -> date:
    """The first working day on or after `day`."""
    while not is_workday(day, holidays):
        day += ONE_DAY
    return day


def previous_workday(day: date, holidays: Collection[date] = ()) -> date:
    """The last working day on or before `day`."""
    while not is_workday(day, holidays):
        day -= ONE_DAY
    return day


def add_workdays(day: date, n: int, holidays: Collection[date] = ()) -> date:
    """
    The n-th working day after `day`, or before it if n is negative; n = 0 is `day` itself.

    Notes: counting starts on the day after the event, so one working day after a Friday is Monday.

    >>> add_workdays(date(2026, 5, 15), 1)
    datetime.date(2026, 5, 18)
    """
    step = ONE_DAY if n > 0 else -ONE_DAY
    left = abs(n)
    while left:
        day += step
        left -= is_workday(day, holidays)
    return day


def workdays_between(start: date, end: date, holidays: Collection[date] = ()) -> int:
    """
    Working days after `start` up to and including `end`; negative if `end` comes first.

    >>> workdays_between(date(2026, 5, 15), date(2026, 5, 18))
    1
    """
    first, last = min(start, end), max(start, end)
    days = (first + timedelta(days=offset) for offset in range(1, (last - first).days + 1))
    count = sum(is_workday(day, holidays) for day in days)
    # Backwards the same days are counted from the other end: start itself is out, end is in.
    if end < start:
        count += is_workday(end, holidays) - is_workday(start, holidays)
        return -count
    return count
