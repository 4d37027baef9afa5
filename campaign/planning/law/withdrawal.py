"""Withdrawing from what was bought at a distance: Directive 2011/83/EU, and SI 2013/3134 in the United Kingdom."""

from collections.abc import Collection, Iterable
from datetime import date, timedelta

from campaign.measures.dates import months_later
from campaign.measures.workdays import next_workday

WITHDRAWAL_DAYS = 14  # art. 9(1)
RETURN_DAYS = 14  # art. 14(1), from memory
DELIVERY_DAYS = 30  # art. 18(1), from memory
UNINFORMED_MONTHS = 12  # art. 10(1), from memory


def withdraw_until(delivered_on: Iterable[date], *, holidays: Collection[date] = ()) -> date:
    """
    The last day to withdraw from an order whose parcels came on these days: fourteen days from the last of them.

    Parameters: delivered_on, at least one day; holidays, public holidays where the backer lives.
    Notes: the day of delivery does not count; a last day that is a Saturday, Sunday or holiday moves to the next
        working day (Regulation (EEC, Euratom) 1182/71 art. 3, from memory; the British text is not known to say so,
        and a longer time does no harm).
    Source: Directive 2011/83/EU art. 9(1), 9(2)(b); checked in tests/outside/test_eu_withdrawal.py.

    >>> withdraw_until([date(2026, 7, 1)])
    datetime.date(2026, 7, 15)
    """
    return next_workday(max(delivered_on) + timedelta(days=WITHDRAWAL_DAYS), holidays)


def withdraw_until_uninformed(delivered_on: Iterable[date]) -> date:
    """
    The same for somebody who was never told of the right: twelve months after the end of the fourteen days.

    Source: Directive 2011/83/EU art. 10(1), from memory; SI 2013/3134 reg. 31, from memory.

    >>> withdraw_until_uninformed([date(2026, 7, 1)])
    datetime.date(2027, 7, 15)
    """
    return months_later(max(delivered_on) + timedelta(days=WITHDRAWAL_DAYS), UNINFORMED_MONTHS)


def send_back_by(told_on: date) -> date:
    """The last day for a backer who has withdrawn to send the print back: fourteen days from saying so."""
    return told_on + timedelta(days=RETURN_DAYS)


def deliver_by(agreed_on: date, *, stated_on: date | None = None) -> date:
    """
    The last day to deliver where nothing else was agreed: thirty days from the contract; else the agreed day.

    Source: Directive 2011/83/EU art. 18(1), from memory.

    >>> deliver_by(date(2026, 3, 10))
    datetime.date(2026, 4, 9)
    """
    return stated_on or agreed_on + timedelta(days=DELIVERY_DAYS)
