"""Money into and out of the cash book."""

import hashlib
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from django.db import IntegrityError, transaction
from django.db.models import F

from campaign import ledger, mail
from campaign.errors import BookedOtherwise, NotEnoughCopies, NotInThisState
from campaign.models import Account, BankLine, CashEntry, Pledge, Refund, Show
from campaign.planning.prices.order_tax import kept_of_new_total
from campaign.queries.money import received_for
from campaign.services.copies import settle_copies, take_copies
from campaign.services.owing import lock_pledge, make_room, owe_refund, still_free

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
    Mails: payment_received, once the order is paid; payment_part while some is missing; payment_over for money that
        came for an order that was paid, or had ended.
    Raises: ValueError for an amount of zero or less; BookedOtherwise for a known key with another amount.
    Repeat: the same `key` books nothing again and tells how the order stands.
    """
    if amount_minor <= 0 or fee_minor < 0:
        raise ValueError("a payment is more than nothing, and its fee not less")
    try:
        with transaction.atomic(durable=True):
            return book_payment(
                pledge_pk=pledge.pk, key=key, amount_minor=amount_minor, fee_minor=fee_minor, way=way,
                happened_on=happened_on, now=now,
            ).receipt  # fmt: skip
    except IntegrityError:
        entry = CashEntry.objects.filter(key=f"payment:{key}").first()
        if entry is None:
            raise
        if entry.amount_minor != amount_minor or entry.pledge_id != pledge.pk:
            raise BookedOtherwise(booked_minor=entry.amount_minor) from None
        current = Pledge.objects.get(pk=pledge.pk)
        return _receipt(current, received_minor=received_for(current))


@dataclass(frozen=True, slots=True)
class Booking:
    """A payment in the cash book: its line, how the order stands, what was kept as a gift, and what is too much."""

    entry: CashEntry
    receipt: Receipt
    kept_minor: int


def book_payment(
    *,
    pledge_pk: int,
    key: str,
    amount_minor: int,
    fee_minor: int,
    way: str,
    happened_on: date,
    now: datetime,
    surplus: str = "",
    line: BankLine | None = None,
) -> Booking:
    """
    The steps of `record_payment`, within the transaction of a caller.

    `surplus` says what becomes of money beyond what the order asks: "keep" it as a gift (the backer agreed), give it
    "back", or nothing yet. For an order that had ended and is not taken up again, "back" owes all of it. `line` is the
    open line of the bank it stands on: tied to the entry first, so that what goes back knows its account.
    Writes: as `record_payment`; Pledge's gift for "keep", Refund for "back"; BankLine.
    Mails: as `record_payment`.
    Raises: IntegrityError for a key that is known.
    """
    pledge = lock_pledge(pledge_pk)
    was_paid = pledge.state == State.PAID
    entry = ledger.post(
        show=pledge.show, key=f"payment:{key}", debit=ARRIVES_IN[way], credit=Account.ORDERS, amount_minor=amount_minor,
        happened_on=happened_on, now=now, pledge=pledge, text=f"Payment for order {pledge.code}",
    )  # fmt: skip
    if fee_minor:
        ledger.post(
            show=pledge.show, key=f"fee:{key}", debit=Account.FEES, credit=ARRIVES_IN[way], amount_minor=fee_minor,
            happened_on=happened_on, now=now, pledge=pledge, text=f"Fee on the payment for order {pledge.code}",
        )  # fmt: skip
    if line:
        BankLine.objects.filter(pk=line.pk, entry=None).update(
            state=BankLine.State.BOOKED, entry=entry, pledge=pledge, settled_at=now
        )
    received_minor = _pay_if_complete(pledge, now=now, surplus=surplus)
    receipt = _receipt(pledge, received_minor=received_minor)
    if must_all_go_back(pledge):
        _owe(pledge, amount_minor=amount_minor, key=f"late:{_short(key)}", reason=_LATE, now=now)
    _tell(pledge, receipt=receipt, amount_minor=amount_minor, was_paid=was_paid, surplus=surplus, key=key, now=now)
    kept_minor = _settle_surplus(pledge, received_minor=received_minor, surplus=surplus, key=key, now=now)
    return Booking(entry=entry, receipt=receipt, kept_minor=kept_minor)


def _tell(
    pledge: Pledge, *, receipt: Receipt, amount_minor: int, was_paid: bool, surplus: str, key: str, now: datetime
) -> None:
    """A mail about money that did not make the order paid; the one about the other kind is written by `_mark_paid`."""
    if receipt.outcome == Outcome.PART:
        mail.payment_part(
            pledge=pledge, key=_short(key), amount_minor=amount_minor, missing_minor=receipt.missing_minor, now=now
        )
    elif was_paid or receipt.outcome == Outcome.OWED_BACK:
        goes = "back" if must_all_go_back(pledge) else surplus
        mail.payment_over(pledge=pledge, key=_short(key), amount_minor=amount_minor, surplus=goes, now=now)


def _settle_surplus(pledge: Pledge, *, received_minor: int, surplus: str, key: str, now: datetime) -> int:
    """What is beyond the order's sum goes the way that was chosen. Returns what was kept as a gift."""
    over_minor = min(still_free(pledge), received_minor - (pledge.total_minor if pledge.is_live else 0))
    if over_minor <= 0 or not surplus or must_all_go_back(pledge):
        return 0
    if surplus == "keep" and pledge.is_live:
        _add_gift(pledge, amount_minor=over_minor)
        return over_minor
    if surplus == "back":
        why = "More came than was asked for" if pledge.is_live else _LATE
        _owe(pledge, amount_minor=over_minor, key=f"over:{_short(key)}", reason=why, now=now)
    return 0


def _add_gift(pledge: Pledge, *, amount_minor: int) -> None:
    """A larger gift, or with a sum below zero a smaller one; what is set aside follows, as for a gift at order time."""
    kept_minor = kept_of_new_total(
        pledge.set_aside_minor, total_minor=pledge.total_minor, new_total_minor=pledge.total_minor + amount_minor,
        tax_minor=pledge.tax_minor,
    )  # fmt: skip
    Pledge.objects.filter(pk=pledge.pk).update(gift_minor=F("gift_minor") + amount_minor, set_aside_minor=kept_minor)
    pledge.refresh_from_db()


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


def _pay_if_complete(pledge: Pledge, *, now: datetime, surplus: str = "") -> int:
    received_minor = received_for(pledge)
    is_on = pledge.show.state != Show.State.CALLED_OFF
    if is_on and received_minor >= pledge.total_minor and (pledge.state, "pay") in Pledge.MOVES:
        _mark_paid(pledge, received_minor=received_minor, now=now, surplus=surplus)
    return received_minor


def _mark_paid(pledge: Pledge, *, received_minor: int, now: datetime, surplus: str) -> None:
    if pledge.state == State.LAPSED and pledge.copies:
        try:
            with transaction.atomic():  # a savepoint: without free copies the money is still booked, and owed back
                take_copies(pledge=pledge, now=now)
        except NotEnoughCopies:
            return
    Pledge.objects.filter(pk=pledge.pk, state=pledge.state).update(state=State.PAID, paid_at=now, ended_at=None)
    settle_copies(pledge)
    pledge.refresh_from_db()
    mail.payment_received(pledge=pledge, received_minor=received_minor, now=now, surplus=surplus)


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
    pledge = lock_pledge(pledge.pk)
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
MONEY_IN = {"own": Account.OWN, "sponsor": Account.SPONSORS, "grant": Account.GRANTS}


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
        debit, credit = Account.BANK, MONEY_IN[kind]
    return ledger.post(
        show=show, key=f"other:{key}", debit=debit, credit=credit, amount_minor=amount_minor, happened_on=happened_on,
        now=now, text=text,
    )  # fmt: skip


@transaction.atomic(durable=True)
def correct_entry(*, entry: CashEntry, reason: str, now: datetime, is_still_owed: bool = False) -> CashEntry:
    """
    Undo a cash book entry by its mirror image; the wrong line stays readable.

    With `is_still_owed` a refund did not arrive: its sum is on the list again. For an order no money of which is the
    artist's it always is; for another one only then, because the line may simply have been wrong.
    Writes: CashEntry. A paid order keeps its state: money that is short then shows as missing. One that waits is paid
    if all of its money is there now (a refund was undone): Pledge, Copy. The bank's line of it is open again: BankLine.
    A refund whose line it was counts as given back no more: Refund.
    Mails: payment_received in that case.
    Raises: NotInThisState for an entry that is itself a correction.
    Repeat: an entry is corrected once; the second call gives the first correction.
    """
    if entry.corrects_id:
        raise NotInThisState(what="This line", state="a correction already; book what is right as a new line")
    # One order for all who book money: show, order, line of the bank. `bank_lines` keeps to it as well, so that on
    # PostgreSQL nobody holds a line and waits for an order whose holder waits for the line.
    show = Show.objects.select_for_update(no_key=True).get(pk=entry.show_id)
    pledge = lock_pledge(entry.pledge_id) if entry.pledge_id else None
    known = CashEntry.objects.filter(corrects=entry).first()
    if known:
        return known
    correction = ledger.post(
        show=show, key=f"correct:{entry.pk}", debit=entry.credit, credit=entry.debit, amount_minor=entry.amount_minor,
        happened_on=now.astimezone(show.zone).date(), now=now, pledge=pledge, corrects=entry,
        text=f"Corrects: {entry.text}. {reason}",
    )  # fmt: skip
    _reopen_line(entry, pledge=pledge)
    if pledge:
        _pay_if_complete(pledge, now=now)
        make_room(pledge, amount_minor=0, now=now, why=f"Less was received: {reason}")
        if entry.debit == Account.REFUNDS:
            _take_back_refund(entry, pledge=pledge, reason=reason, is_still_owed=is_still_owed, now=now)
    return correction


def _take_back_refund(entry: CashEntry, *, pledge: Pledge, reason: str, is_still_owed: bool, now: datetime) -> None:
    """What a refund said is true no more: its money is here. Owed again by a row of its own, with a key of its own."""
    Refund.objects.filter(entry=entry, state=Refund.State.DONE).update(
        state=Refund.State.CALLED_OFF, last_error=f"Its line was corrected: {reason}"[:300]
    )
    if is_still_owed or must_all_go_back(pledge):
        why = f"Did not arrive: {reason}"
        _owe(pledge, amount_minor=entry.amount_minor, key=f"again:{entry.pk}", reason=why, now=now)


def _reopen_line(entry: CashEntry, *, pledge: Pledge | None) -> None:
    """The bank's line of a corrected entry waits for the artist again; a gift that was made of it is none any more."""
    line = BankLine.objects.filter(entry=entry).first()
    if line is None:
        return
    if pledge and line.kept_minor:
        _add_gift(pledge, amount_minor=-line.kept_minor)
    BankLine.objects.filter(pk=line.pk, entry=entry).update(
        state=BankLine.State.OPEN, entry=None, pledge=None, settled_at=None, kept_minor=0, note=""
    )
