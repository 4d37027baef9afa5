"""Money into and out of the cash book."""

import hashlib
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from django.db import IntegrityError, transaction

from campaign import ledger, mail
from campaign.errors import BookedOtherwise, NotEnoughCopies, NotInThisState
from campaign.models import Account, CashEntry, Pledge, Show
from campaign.queries.money import received_for
from campaign.services.copies import settle_copies, take_copies
from campaign.services.owing import make_room, owe_refund, still_free

State = Pledge.State
# Where money arrives, by the way it is paid.
ARRIVES_IN = {
    "transfer": Account.BANK,
    "cheque": Account.CHEQUES,
    "cash": Account.CASH,
    "card": Account.PROCESSOR,
}


class Outcome(StrEnum):
    """What a payment did."""

    PAID = "paid"
    PART = "part"
    OVER = "over"
    OWED_BACK = "owed back"


@dataclass(frozen=True, slots=True)
class Receipt:
    """A recorded payment: what it did and how the order stands now."""

    outcome: Outcome
    received_minor: int
    missing_minor: int


def record_payment(
    *, pledge: Pledge, key: str, amount_minor: int, fee_minor: int, way: str, happened_on: date, now: datetime
) -> Receipt:
    """
    Book money that came from a backer; the order counts as paid once all of it is there.

    Writes: CashEntry (and one for the fee), Pledge, Copy.
    Mails: payment_received, once the order is paid.
    Raises: ValueError for an amount of zero or less; BookedOtherwise for a known key with another amount.
    Repeat: the same `key` books nothing again and tells how the order stands.
    """
    if amount_minor <= 0 or fee_minor < 0:
        raise ValueError("a payment is more than nothing, and its fee not less")
    try:
        return _record(
            pledge_pk=pledge.pk, key=key, amount_minor=amount_minor, fee_minor=fee_minor, way=way,
            happened_on=happened_on, now=now,
        )  # fmt: skip
    except IntegrityError:
        entry = CashEntry.objects.filter(key=f"payment:{key}").first()
        if entry is None:
            raise
        if entry.amount_minor != amount_minor or entry.pledge_id != pledge.pk:
            raise BookedOtherwise(booked_minor=entry.amount_minor) from None
        current = Pledge.objects.get(pk=pledge.pk)
        return _receipt(current, received_minor=received_for(current))


@transaction.atomic(durable=True)
def _record(
    *, pledge_pk: int, key: str, amount_minor: int, fee_minor: int, way: str, happened_on: date, now: datetime
) -> Receipt:
    pledge = _locked(pledge_pk)
    ledger.post(
        show=pledge.show, key=f"payment:{key}", debit=ARRIVES_IN[way], credit=Account.ORDERS, amount_minor=amount_minor,
        happened_on=happened_on, now=now, pledge=pledge, text=f"Payment for order {pledge.code}",
    )  # fmt: skip
    if fee_minor:
        ledger.post(
            show=pledge.show, key=f"fee:{key}", debit=Account.FEES, credit=ARRIVES_IN[way], amount_minor=fee_minor,
            happened_on=happened_on, now=now, pledge=pledge, text=f"Fee on the payment for order {pledge.code}",
        )  # fmt: skip
    received_minor = _pay_if_complete(pledge, now=now)
    if must_all_go_back(pledge):
        _owe(pledge, amount_minor=amount_minor, key=f"late:{_short(key)}", reason=_LATE, now=now)
    return _receipt(pledge, received_minor=received_minor)


_LATE = "Came after the order had ended"


def must_all_go_back(pledge: Pledge) -> bool:
    """True where no money for the order is the artist's: it was cancelled, or its show was called off."""
    return pledge.state == State.CANCELLED or pledge.show.state == Show.State.CALLED_OFF


def _owe(pledge: Pledge, *, amount_minor: int, key: str, reason: str, now: datetime) -> None:
    owed_minor = min(amount_minor, still_free(pledge))
    if owed_minor > 0:
        owe_refund(pledge=pledge, amount_minor=owed_minor, key=key, reason=reason, now=now)


def _short(key: str) -> str:
    """Fits a refund's key whatever the length of the payment's."""
    return key if len(key) <= 48 else hashlib.sha256(key.encode()).hexdigest()[:40]


def _locked(pledge_pk: int) -> Pledge:
    """The pledge as it is now, and nobody else's until the transaction ends: what is checked next stays true."""
    pledges = Pledge.objects.select_for_update(of=("self",), no_key=True).select_related("show", "edition")
    return pledges.get(pk=pledge_pk)


def _pay_if_complete(pledge: Pledge, *, now: datetime) -> int:
    received_minor = received_for(pledge)
    is_on = pledge.show.state != Show.State.CALLED_OFF
    if is_on and received_minor >= pledge.total_minor and (pledge.state, "pay") in Pledge.MOVES:
        _mark_paid(pledge, received_minor=received_minor, now=now)
    return received_minor


def _mark_paid(pledge: Pledge, *, received_minor: int, now: datetime) -> None:
    if pledge.state == State.LAPSED and pledge.edition:
        try:
            with transaction.atomic():  # a savepoint: without free copies the money is still booked, and owed back
                take_copies(pledge=pledge, edition=pledge.edition, count=pledge.copies)
        except NotEnoughCopies:
            return
    Pledge.objects.filter(pk=pledge.pk, state=pledge.state).update(state=State.PAID, paid_at=now, ended_at=None)
    settle_copies(pledge)
    pledge.refresh_from_db()
    mail.payment_received(pledge=pledge, received_minor=received_minor, now=now)


def _receipt(pledge: Pledge, *, received_minor: int) -> Receipt:
    missing_minor = max(0, pledge.total_minor - received_minor)
    if pledge.state == State.PAID:
        outcome = Outcome.OVER if received_minor > pledge.total_minor else Outcome.PAID
    elif pledge.state == State.HELD:
        outcome = Outcome.PART
    else:
        outcome = Outcome.OWED_BACK
    return Receipt(outcome=outcome, received_minor=received_minor, missing_minor=missing_minor)


@transaction.atomic(durable=True)
def record_refund(
    *, pledge: Pledge, key: str, amount_minor: int, way: str, happened_on: date, now: datetime
) -> CashEntry:
    """
    Book money that went back to a backer.

    Writes: CashEntry; Refund where a sum that was owed is owed no more.
    Raises: NotInThisState for more than was received.
    Repeat: the same `key` gives the entry that is already there.
    """
    pledge = _locked(pledge.pk)
    entry = book_refund(pledge=pledge, key=key, amount_minor=amount_minor, way=way, happened_on=happened_on, now=now)
    make_room(pledge, amount_minor=0, now=now, why="Went back otherwise.")
    return entry


def book_refund(
    *, pledge: Pledge, key: str, amount_minor: int, way: str, happened_on: date, now: datetime
) -> CashEntry:
    """
    The cash book line of a refund, within the transaction of a caller that has locked the pledge.

    Raises: NotInThisState for more than was received.
    Repeat: the same `key` gives the entry that is already there.
    """
    known = CashEntry.objects.filter(key=f"refund:{key}").first()
    if known:
        return known
    if amount_minor > received_for(pledge):
        raise NotInThisState(what="The refund", state="more than was received")
    return ledger.post(
        show=pledge.show, key=f"refund:{key}", debit=Account.REFUNDS, credit=ARRIVES_IN[way], amount_minor=amount_minor,
        happened_on=happened_on, now=now, pledge=pledge, text=f"Given back for order {pledge.code}",
    )  # fmt: skip


# What else can be booked by hand, and which side of the bank account it is on.
OTHER_SOURCES = {"own": Account.OWN, "sponsor": Account.SPONSORS, "grant": Account.GRANTS}


@transaction.atomic(durable=True)
def record_other_money(
    *, show: Show, key: str, kind: str, amount_minor: int, happened_on: date, text: str, now: datetime
) -> CashEntry:
    """
    Book own money, a sponsor, a grant (money in) or a campaign cost (money out).

    `kind`: own, sponsor, grant or cost.
    Writes: CashEntry.
    Raises: KeyError for another kind.
    Repeat: the same `key` gives the entry that is already there.
    """
    show = Show.objects.select_for_update(no_key=True).get(pk=show.pk)  # the same submit twice at once waits here
    known = CashEntry.objects.filter(key=f"other:{key}").first()
    if known:
        return known
    if kind == "cost":
        debit, credit = Account.COSTS, Account.BANK
    else:
        debit, credit = Account.BANK, OTHER_SOURCES[kind]
    return ledger.post(
        show=show, key=f"other:{key}", debit=debit, credit=credit, amount_minor=amount_minor, happened_on=happened_on,
        now=now, text=text,
    )  # fmt: skip


@transaction.atomic(durable=True)
def correct_entry(*, entry: CashEntry, reason: str, now: datetime) -> CashEntry:
    """
    Undo a cash book entry by its mirror image; the wrong line stays readable.

    Writes: CashEntry. A paid order keeps its state: money that is short then shows as missing. One that waits is paid
    if all of its money is there now (a refund was undone): Pledge, Copy.
    Mails: payment_received in that case.
    Repeat: an entry is corrected once; the second call gives the first correction.
    """
    show = Show.objects.select_for_update(no_key=True).get(pk=entry.show_id)
    pledge = _locked(entry.pledge_id) if entry.pledge_id else None
    known = CashEntry.objects.filter(corrects=entry).first()
    if known:
        return known
    correction = ledger.post(
        show=show, key=f"correct:{entry.pk}", debit=entry.credit, credit=entry.debit, amount_minor=entry.amount_minor,
        happened_on=now.astimezone(show.zone).date(), now=now, pledge=pledge, corrects=entry,
        text=f"Corrects: {entry.text}. {reason}",
    )  # fmt: skip
    if pledge:
        _pay_if_complete(pledge, now=now)
        make_room(pledge, amount_minor=0, now=now, why=f"Less was received: {reason}")
        if entry.debit == Account.REFUNDS and must_all_go_back(pledge):
            _owe(
                pledge,
                amount_minor=entry.amount_minor,
                key=f"again:{entry.pk}",
                reason=f"Did not arrive: {reason}",
                now=now,
            )
    return correction
