"""Giving money back: what is owed is a row, what went is in the cash book. Not for working out sums: see owing."""

from datetime import date, datetime

from django.db import transaction

from campaign import mail
from campaign.errors import NotInThisState, pause_after
from campaign.models import Pledge, Refund
from campaign.services.owing import AT_REST, OPEN, lock_pledge, make_room, owe_refund, owe_rest
from campaign.services.payments import book_refund

__all__ = [
    "call_off_refund", "fail_refund", "give_back", "owe_refund", "owe_rest", "retry_refund", "set_refund_account",
    "settle_owed", "settle_refund",
]  # fmt: skip
State = Refund.State


@transaction.atomic(durable=True)
def settle_refund(*, refund: Refund, happened_on: date, now: datetime, way: str = "") -> Refund:
    """
    Book that a sum which was owed has gone back; by another `way` than planned if one is given.

    Writes: CashEntry, Refund.
    Mails: refund_made.
    Raises: NotInThisState for a sum that was called off, that is with the processor and should go another way, or that
        was never received.
    Repeat: a sum that has gone back stays so; nothing is booked again.
    """
    pledge = lock_pledge(refund.pledge_id)
    return settle_owed(Refund.objects.get(pk=refund.pk), pledge=pledge, happened_on=happened_on, now=now, way=way)


def settle_owed(current: Refund, *, pledge: Pledge, happened_on: date, now: datetime, way: str) -> Refund:
    """The steps of `settle_refund`, within the transaction of a caller that has locked the pledge."""
    if current.state == State.DONE:
        return current
    changes_way = way not in ("", current.way)
    if current.state not in OPEN or (changes_way and current.state == State.SENDING):
        raise NotInThisState(what="This sum", state=current.get_state_display())
    way = way or current.way
    entry = book_refund(
        pledge=pledge, key=current.key, amount_minor=current.amount_minor, way=way, happened_on=happened_on, now=now
    )
    moved = Refund.objects.filter(pk=current.pk, state=current.state).update(
        state=State.DONE, way=way, entry=entry, done_at=now, lease_until_at=None, last_error=""
    )
    if moved == 0:  # the worker took it to the processor at the same moment; the booking is rolled back
        raise NotInThisState(what="This sum", state=State.SENDING.label)
    current.refresh_from_db()
    mail.refund_made(refund=current, now=now)
    return current


@transaction.atomic(durable=True)
def give_back(*, pledge: Pledge, key: str, amount_minor: int, way: str, happened_on: date, now: datetime) -> Refund:
    """
    Book money that went back by hand, whatever was planned; a sum that was owed is owed no more.

    Writes: Refund, CashEntry; rows that were owed, as far as this takes their place.
    Mails: refund_made.
    Raises: NotInThisState for more than was received, or where the processor has the sum in hand.
    Repeat: the same `key` gives the row that is already there.
    """
    current = lock_pledge(pledge.pk)
    known = Refund.objects.filter(key=key, pledge=current).first()
    if known:
        return known
    make_room(current, amount_minor=amount_minor, now=now, why="Went back otherwise.")
    refund = Refund.objects.create(
        pledge=current, key=key, amount_minor=amount_minor, way=way, reason="Given back by hand", created_at=now
    )
    return settle_owed(refund, pledge=current, happened_on=happened_on, now=now, way=way)


@transaction.atomic(durable=True)
def call_off_refund(*, refund: Refund, reason: str, now: datetime) -> Refund:
    """
    A sum is not to be given back after all (the backer gives it, or it was a mistake); the money stays received.

    Writes: Refund.
    Raises: NotInThisState once it has gone or is with the processor.
    Repeat: a sum that was called off stays so.
    """
    lock_pledge(refund.pledge_id)
    moved = Refund.objects.filter(pk=refund.pk, state__in=AT_REST).update(
        state=State.CALLED_OFF, last_error=reason[:300], lease_until_at=None
    )
    current = Refund.objects.get(pk=refund.pk)
    if moved == 0 and current.state != State.CALLED_OFF:
        raise NotInThisState(what="This sum", state=current.get_state_display())
    return current


@transaction.atomic(durable=True)
def fail_refund(*, refund: Refund, error: str, is_final: bool, now: datetime) -> Refund:
    """
    The processor did not give a sum back: it waits a while for another try, or for the artist if `is_final`.

    Writes: Refund; `lease_until_at` is then the moment before which nobody tries again.
    Repeat: a sum that is done, called off or failed stays so.
    """
    Refund.objects.filter(pk=refund.pk, state__in=(State.OWED, State.SENDING)).update(
        state=State.FAILED if is_final else State.OWED,
        lease_until_at=None if is_final else now + pause_after(refund.attempts),
        last_error=error[:300],
    )
    return Refund.objects.get(pk=refund.pk)


@transaction.atomic(durable=True)
def retry_refund(*, refund: Refund, now: datetime) -> Refund:
    """
    Let the worker try a failed sum once more.

    Writes: Refund.
    Raises: NotInThisState unless it has failed.
    Repeat: a sum that is owed again stays so.
    """
    moved = Refund.objects.filter(pk=refund.pk, state=State.FAILED).update(
        state=State.OWED, lease_until_at=None, attempts=0, last_error=""
    )
    current = Refund.objects.get(pk=refund.pk)
    if moved == 0 and current.state != State.OWED:
        raise NotInThisState(what="This sum", state=current.get_state_display())
    return current


@transaction.atomic(durable=True)
def set_refund_account(*, refund: Refund, iban: str, account_holder: str) -> Refund:
    """
    Say to which account a sum goes, as the backer told.

    Writes: Refund.
    Raises: NotInThisState once it has gone, was called off or is with the processor.
    Repeat: the same account again changes nothing.
    """
    moved = Refund.objects.filter(pk=refund.pk, state__in=AT_REST).update(iban=iban, account_holder=account_holder)
    current = Refund.objects.get(pk=refund.pk)
    if moved == 0:
        raise NotInThisState(what="This sum", state=current.get_state_display())
    return current
