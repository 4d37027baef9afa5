"""How many working days a finish may take between print and hanging; the one place that says so."""

import functools
from collections.abc import Collection
from datetime import date, timedelta

from campaign.measures.workdays import add_workdays, public_holidays, workdays_between
from campaign.models import ClosedDay, Show


def read_lead_days(show: Show) -> int:
    """
    Working days left for finishing between the last print day and hanging day, by the show's dates. One query.

    Printing is reckoned to start on the working day after the campaign closes and to take the proof days and all of
    the printer's time for the show; the venue country's holidays and the artist's closed days do not count.
    """
    closed = set(ClosedDay.objects.filter(show=show).values_list("day_on", flat=True))
    closes_on = show.closes_at.astimezone(show.zone).date()
    years = range(min(closes_on, show.hang_on).year, max(closes_on, show.hang_on).year + 2)
    return finishing_days(
        closes_on=closes_on,
        hang_on=show.hang_on,
        print_days=show.proof_days + printing_days(show.printer_seconds, print_hours_milli=show.print_hours_milli),
        days_off=closed | _holidays(show.country, tuple(years)),
    )


def finishing_days(*, closes_on: date, hang_on: date, print_days: int, days_off: Collection[date]) -> int:
    """
    Working days after the last print day and before hanging day; 0 when printing ends too late.

    >>> finishing_days(closes_on=date(2026, 5, 1), hang_on=date(2026, 5, 13), print_days=3, days_off=())
    4
    """
    last_print_day = add_workdays(closes_on, print_days, days_off)
    return max(0, workdays_between(last_print_day, hang_on - timedelta(days=1), days_off))


def printing_days(printer_seconds: int, *, print_hours_milli: int) -> int:
    """
    Days that so much printing takes, a started one counted; one day where no hours a day are known.

    >>> printing_days(8 * 3600, print_hours_milli=3000)
    3
    """
    a_day = print_hours_milli * 3600 // 1000
    return -(-printer_seconds // a_day) if a_day else 1


@functools.lru_cache(maxsize=64)
def _holidays(country: str, years: tuple[int, ...]) -> frozenset[date]:
    try:
        return public_holidays(country, years=years)
    except NotImplementedError:  # a country whose calendar is not known: weekends and closed days remain
        return frozenset()
