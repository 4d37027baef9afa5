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
