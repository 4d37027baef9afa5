"""What becomes of a bank's line: it is booked, or passed over. One line, one transaction; the artist decides."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from campaign import ledger
from campaign.errors import NotInThisState, Refusal
from campaign.models import Account, BankLine, CashEntry, Pledge, Refund
from campaign.queries.bank import moves_alike
from campaign.services.owing import lock_pledge, make_room
from campaign.services.payments import MONEY_IN, Booking, book_payment, book_refund
from campaign.services.refunds import settle_owed

State = BankLine.State
# What else money that left can be; what came: `payments.MONEY_IN`.
MONEY_OUT = {"cost": Account.COSTS, "fee": Account.FEES}


@dataclass
class WrongSide(Refusal):
    """Money that came was to be booked as money that left, or the other way round."""

    @property
    def sentence(self) -> str:
        return "That fits money in the other direction. Nothing was booked."


@dataclass
class OtherCurrency(Refusal):
    """The cash book of a show counts in one currency."""

    currency: str

    @property
    def sentence(self) -> str:
        return f"The line is in {self.currency}, the show counts in another currency. Pass it, or book it by hand."


@transaction.atomic(durable=True)
def book_line_to_order(*, line: BankLine, pledge: Pledge, surplus: str, now: datetime) -> Booking | None:
    """
    Book money that came as a payment for an order; the bank's charge on it becomes a line of its own.

    `surplus` as in `payments.book_payment`: "keep", "back" or nothing yet.
    Writes: CashEntry, Pledge, Copy, Refund, BankLine.
    Mails: payment_received, payment_part or payment_over.
    Raises: WrongSide, OtherCurrency; NotInThisState for a line that became something else.
    Repeat: a line that is booked to this order stays so; None then.
    """
    lock_pledge(pledge.pk)  # before the line, as `correct_entry` does
    current = _open_line(line, direction=1)
    if current is None:
        _stands(line, pledge=pledge)
        return None
    booking = book_payment(
        pledge_pk=pledge.pk, key=_key(current), amount_minor=current.amount_minor + current.fee_minor,
        fee_minor=_unbooked_fee_minor(current), way=Pledge.Way.TRANSFER, happened_on=current.booked_on, now=now,
        surplus=surplus, line=current,
    )  # fmt: skip
    BankLine.objects.filter(pk=current.pk).update(kept_minor=booking.kept_minor)
    return booking


@transaction.atomic(durable=True)
def book_line_as_refund(*, line: BankLine, refund: Refund, now: datetime) -> None:
    """
    Book money that left as a sum that was to go back.

    Writes: CashEntry, Refund, BankLine.
    Mails: refund_made.
    Raises: NotInThisState for another amount or a sum that is owed no more; WrongSide, OtherCurrency.
    Repeat: a line that settled this sum stays so.
    """
    pledge = lock_pledge(refund.pledge_id)
    current = _open_line(line, direction=-1)
    if current is None:
        _stands(line, pledge=pledge)
        return
    owed, sent_minor = Refund.objects.get(pk=refund.pk), -current.amount_minor - current.fee_minor
    if owed.amount_minor != sent_minor:
        raise NotInThisState(what="The sum that is owed", state="another than the line's")
    if owed.state == Refund.State.DONE:
        raise NotInThisState(what="That sum", state="given back already")
    done = settle_owed(owed, pledge=pledge, happened_on=current.booked_on, now=now, way=Pledge.Way.TRANSFER)
    assert done.entry is not None, "a settled refund has its line in the cash book"
    _post_fee(current, pledge=pledge, now=now)
    _settle(current, entry=done.entry, pledge=pledge, now=now)


@transaction.atomic(durable=True)
def book_line_back(*, line: BankLine, pledge: Pledge, now: datetime) -> None:
    """
    Book money that left as given back for an order, where nothing was written down as owed, or the bank took it back.

    Writes: CashEntry, BankLine; Refund as far as a sum that was owed is owed no more.
    Raises: NotInThisState for more than was received; WrongSide, OtherCurrency.
    Repeat: a line that is booked to this order stays so.
    """
    locked = lock_pledge(pledge.pk)
    current = _open_line(line, direction=-1)
    if current is None:
        _stands(line, pledge=pledge)
        return
    entry = book_refund(
        pledge=locked, key=_key(current), amount_minor=-current.amount_minor - current.fee_minor,
        way=Pledge.Way.TRANSFER, happened_on=current.booked_on, now=now,
    )  # fmt: skip
    make_room(locked, amount_minor=0, now=now, why="Went back otherwise.")
    _post_fee(current, pledge=locked, now=now)
    _settle(current, entry=entry, pledge=locked, now=now)


@transaction.atomic(durable=True)
def book_line_as(*, line: BankLine, kind: str, text: str, now: datetime) -> None:
    """
    Book a line that belongs to no order: own, sponsor, grant (money in), cost or fee (money out).

    Writes: CashEntry, BankLine.
    Raises: KeyError for another kind; WrongSide, OtherCurrency.
    Repeat: a line that is booked stays so.
    """
    is_in = kind in MONEY_IN
    current = _open_line(line, direction=1 if is_in else -1)
    if current is None:
        _stands(line, pledge=None)
        return
    debit, credit = (Account.BANK, MONEY_IN[kind]) if is_in else (MONEY_OUT[kind], Account.BANK)
    entry = ledger.post(
        show=current.statement.show, key=f"other:{_key(current)}", debit=debit, credit=credit,
        amount_minor=abs(current.amount_minor), happened_on=current.booked_on, now=now, text=text,
    )  # fmt: skip
    _settle(current, entry=entry, pledge=None, now=now)


@transaction.atomic(durable=True)
def tie_line(*, line: BankLine, entry: CashEntry, now: datetime) -> None:
    """
    The line is money that is in the cash book already: tie the two together, book nothing.

    Writes: BankLine.
    Raises: NotInThisState for an entry that is tied to another line, or was corrected; WrongSide for another amount.
    Repeat: a line that is tied to this entry stays so.
    """
    current = _open_line(line, direction=0)
    if current is None:
        if BankLine.objects.filter(pk=line.pk, entry=entry).exists():
            return
        raise NotInThisState(what="The line", state="settled already")
    if CashEntry.objects.filter(corrects=entry).exists() or BankLine.objects.filter(entry=entry).exists():
        raise NotInThisState(what="That entry", state="corrected, or belongs to another line")
    if not moves_alike(entry, line=current):
        raise WrongSide
    _settle(current, entry=entry, pledge=entry.pledge, now=now)


@transaction.atomic(durable=True)
def pass_line(*, line: BankLine, note: str, now: datetime) -> None:
    """
    The line is not of this campaign.

    Writes: BankLine.
    Raises: NotInThisState for a line that is booked.
    Repeat: a line that was passed stays so.
    """
    moved = BankLine.objects.filter(pk=line.pk, state=State.OPEN).update(
        state=State.PASSED, settled_at=now, note=note[:200]
    )
    if not moved and not BankLine.objects.filter(pk=line.pk, state=State.PASSED).exists():
        raise NotInThisState(what="The line", state="booked; correct its entry in the cash book first")


@transaction.atomic(durable=True)
def take_line_up(*, line: BankLine) -> None:
    """
    Look at a line again that was passed.

    Writes: BankLine.
    Repeat: a line that is open or booked stays so.
    """
    BankLine.objects.filter(pk=line.pk, state=State.PASSED).update(state=State.OPEN, settled_at=None, note="")


def _open_line(line: BankLine, *, direction: int) -> BankLine | None:
    """The line as it is now, ours until the transaction ends; None if it is settled. `direction` 1 came, -1 left."""
    # Written first: of two who book one line at once, the second waits here and then finds it settled.
    if not BankLine.objects.filter(pk=line.pk, state=State.OPEN).update(note=""):
        return None
    current = BankLine.objects.select_related("statement__show").get(pk=line.pk)
    if current.currency != current.statement.show.currency:
        raise OtherCurrency(current.currency)
    if direction * current.amount_minor < 0:
        raise WrongSide
    return current


def _stands(line: BankLine, *, pledge: Pledge | None) -> None:
    """Raises: NotInThisState unless the line is booked to this order (or to none)."""
    settled = BankLine.objects.get(pk=line.pk)
    if settled.state != State.BOOKED or settled.pledge_id != (pledge.pk if pledge else None):
        raise NotInThisState(what="The line", state="settled otherwise already")


def _settle(line: BankLine, *, entry: CashEntry, pledge: Pledge | None, now: datetime) -> None:
    BankLine.objects.filter(pk=line.pk, state=State.OPEN).update(
        state=State.BOOKED, entry=entry, pledge=pledge, settled_at=now
    )


def _key(line: BankLine) -> str:
    """Names the booking: the line, and how often a booking of it was corrected before."""
    base = f"bank:{line.line_hash[:40]}"
    again = CashEntry.objects.filter(key__contains=base, corrects=None, corrected_by__isnull=False)
    count = again.exclude(key__startswith="fee:").count()
    return f"{base}.{count}" if count else base


def _unbooked_fee_minor(line: BankLine) -> int:
    """The bank's charge; nothing where an earlier booking of this line booked it and it still stands."""
    standing = CashEntry.objects.filter(key__startswith=f"fee:bank:{line.line_hash[:40]}", corrected_by=None)
    return 0 if standing.exists() else line.fee_minor


def _post_fee(line: BankLine, *, pledge: Pledge | None, now: datetime) -> None:
    if _unbooked_fee_minor(line):
        ledger.post(
            show=line.statement.show, key=f"fee:{_key(line)}", debit=Account.FEES, credit=Account.BANK,
            amount_minor=line.fee_minor, happened_on=line.booked_on, now=now, pledge=pledge,
            text="Charge of the bank",
        )  # fmt: skip
