"""The one way to write into the cash book. Not for reading it: see queries."""

from datetime import date, datetime

from django.db import connection

from campaign.models import Account, CashEntry, Funder, Pledge, Show


def post(  # noqa: PLR0913 - one for each column
    *,
    show: Show,
    key: str,
    debit: str,
    credit: str,
    amount_minor: int,
    happened_on: date,
    now: datetime,
    text: str,
    pledge: Pledge | None = None,
    corrects: CashEntry | None = None,
    funder: Funder | None = None,
) -> CashEntry:
    """
    Write one transfer of `amount_minor` (> 0, the show's currency) from account `credit` to account `debit`.

    Must run in the caller's transaction, so that the act and its entry stand or fall together.
    Raises: IntegrityError if `key` was posted before; ValueError for an unknown account.
    """
    assert connection.in_atomic_block, "the cash book is written inside the transaction of the act"
    Account(debit), Account(credit)
    return CashEntry.objects.create(
        show=show,
        key=key,
        debit=debit,
        credit=credit,
        amount_minor=amount_minor,
        currency=show.currency,
        happened_on=happened_on,
        written_at=now,
        pledge=pledge,
        corrects=corrects,
        funder=funder,
        text=text[:300],
    )
