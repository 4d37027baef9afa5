"""
From what the processor says to our books: payments and their fees, refunds, disputes. Shared steps, each repeatable.

They take what was just fetched, never what a message claimed, and say in a sentence what they found. They run outside
any transaction and open their own. Payouts: see card_payouts.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from campaign import ledger, processor
from campaign.errors import NotInThisState, Refusal, TemporaryFailure
from campaign.measures.money import format_minor
from campaign.models import Account, CardPayment, CashEntry, Dispute, Pledge, Refund
from campaign.processor import Charge, Disputed, SentBack, Session, Taken
from campaign.services.owing import lock_pledge, make_room
from campaign.services.payments import correct_entry, record_payment, record_refund
from campaign.services.refunds import fail_refund, settle_refund

State = CardPayment.State
NOT_OURS = "Not of this site."


@dataclass(frozen=True, slots=True)
class Finding:
    """What was found and done; `is_trouble` asks for the artist, `has_changed` says that our rows were behind."""

    sentence: str
    payment: CardPayment | None = None
    is_trouble: bool = False
    has_changed: bool = False


def settle_session(session: Session, *, now: datetime) -> Finding:
    """
    Bring the row and the books of a card payment to what its hosted page shows.

    Writes: CardPayment; CashEntry, Pledge and Copy through `record_payment` if money came.
    Mails: payment_received, once the order is paid.
    Raises: TemporaryFailure if it says paid and does not show the charge yet.
    Repeat: a known page changes nothing.
    """
    payment = _payment_of(session, now=now)
    if payment is None:
        if not session.key:
            return Finding(NOT_OURS)
        return Finding(f"Paid for an order that is not in our books ({session.reference}).", is_trouble=session.is_paid)
    wrong = _what_differs(session, payment=payment)
    if wrong:
        CardPayment.objects.filter(pk=payment.pk).update(last_error=wrong[:300], looked_at=now)
        return Finding(f"Order {payment.pledge.code}: {wrong} Nothing was booked.", payment, is_trouble=True)
    if session.is_paid:
        return _settle_paid(session, payment=payment, now=now)
    state = State.EXPIRED if session.state == "expired" else State.OPEN
    moved = CardPayment.objects.filter(pk=payment.pk, state__in=[State.WANTED, State.OPEN]).update(
        state=state, session_id=session.id, payment_id=session.payment_id, pay_url=session.url or payment.pay_url,
        expires_at=session.expires_at, looked_at=now, last_error="",
    )  # fmt: skip
    said = "ended unpaid" if state == State.EXPIRED else "is not paid yet"
    return Finding(f"The payment page of order {payment.pledge.code} {said}.", payment, has_changed=_is_new(
        moved, payment=payment, state=state
    ))  # fmt: skip


def _is_new(moved: int, *, payment: CardPayment, state: str) -> bool:
    return moved == 1 and payment.state != state


def _payment_of(session: Session, *, now: datetime) -> CardPayment | None:
    """The row of a page: by its id, or by our own key where the answer to the first call was lost."""
    rows = CardPayment.objects.select_related("pledge__show")
    payment = rows.filter(session_id=session.id).first()
    if payment is None and session.key:
        payment = rows.filter(key=session.key, session_id="").first() or _lost_row(session, now=now)
    return payment


def _lost_row(session: Session, *, now: datetime) -> CardPayment | None:
    """A row that a restored backup did not have yet, made anew from the page that carries our key."""
    pledge = Pledge.objects.select_related("show").filter(code=session.reference).first()
    if pledge is None or not session.is_paid or CardPayment.objects.filter(key=session.key).exists():
        return None
    return CardPayment.objects.create(
        pledge=pledge, key=session.key, amount_minor=session.amount_minor, currency=session.currency,
        session_id=session.id, state=State.FAILED, created_at=session.created_at, looked_at=now,
    )  # fmt: skip


def _what_differs(session: Session, *, payment: CardPayment) -> str:
    """Why money on this page cannot be this payment; empty if it can."""
    if session.is_live != processor.is_live():
        return "the page is of the processor's other mode (test or live)."
    if session.reference != payment.pledge.code:
        return f"the page names another order ({session.reference[:40]})."
    currencies = {session.currency} | ({session.charge.currency} if session.charge else set())
    if currencies != {payment.currency}:
        return f"the page is in {', '.join(sorted(currencies - {payment.currency}))}, not in {payment.currency}."
    return ""


def _settle_paid(session: Session, *, payment: CardPayment, now: datetime) -> Finding:
    charge, pledge = session.charge, payment.pledge
    if charge is None:
        raise TemporaryFailure("paid, but the processor does not show the charge yet")
    if _is_booked(session, charge=charge, payment=payment):
        return _told(charge, payment=payment, has_changed=False)
    try:
        record_payment(
            pledge=pledge, key=f"card:{session.id}", amount_minor=charge.amount_minor, fee_minor=charge.fee_minor or 0,
            way="card", happened_on=charge.paid_at.astimezone(pledge.show.zone).date(), now=now,
        )  # fmt: skip
    except Refusal as refusal:
        return Finding(f"Order {pledge.code}: {refusal.sentence}", payment, is_trouble=True)
    return _told(charge, payment=payment, has_changed=_note_paid(payment, session=session, charge=charge, now=now))


def _is_booked(session: Session, *, charge: Charge, payment: CardPayment) -> bool:
    """True where row and book have all of it already, as mostly in the daily comparison."""
    row = (payment.state, payment.fee_minor, payment.available_on)
    if charge.fee_minor is None or row != (State.PAID, charge.fee_minor, charge.available_on):
        return False
    entry = CashEntry.objects.filter(key=f"payment:card:{session.id}", amount_minor=charge.amount_minor)
    return entry.exists()


def _told(charge: Charge, *, payment: CardPayment, has_changed: bool) -> Finding:
    pledge = payment.pledge
    came = format_minor(charge.amount_minor, currency=payment.currency, locale=pledge.show.locale)
    if charge.amount_minor != payment.amount_minor:
        asked = format_minor(payment.amount_minor, currency=payment.currency, locale=pledge.show.locale)
        words = f"Order {pledge.code}: {came} came by card where {asked} was asked for; what came is booked."
        return Finding(words, payment, is_trouble=True, has_changed=has_changed)
    return Finding(f"{came} for order {pledge.code} is booked.", payment, has_changed=has_changed)


@transaction.atomic(durable=True)
def _note_paid(payment: CardPayment, *, session: Session, charge: Charge, now: datetime) -> bool:
    """The row, and the fee where it was not known when the payment was booked. True if the row was behind."""
    row = CardPayment.objects.select_for_update(of=("self",), no_key=True).get(pk=payment.pk)
    pledge, key = payment.pledge, f"fee:card:{session.id}"
    if charge.fee_minor and not CashEntry.objects.filter(key=key).exists():
        ledger.post(
            show=pledge.show, key=key, debit=Account.FEES, credit=Account.PROCESSOR, amount_minor=charge.fee_minor,
            happened_on=charge.paid_at.astimezone(pledge.show.zone).date(), now=now, pledge=pledge,
            text=f"Fee on the payment for order {pledge.code}",
        )  # fmt: skip
    before = (row.state, row.fee_minor, row.available_on)
    CardPayment.objects.filter(pk=row.pk).update(
        state=State.PAID, session_id=session.id, payment_id=session.payment_id, fee_minor=charge.fee_minor,
        available_on=charge.available_on, paid_at=charge.paid_at, looked_at=now, last_error="",
    )  # fmt: skip
    return before != (State.PAID, charge.fee_minor, charge.available_on)


def settle_sent_back(sent: SentBack, *, now: datetime) -> Finding:
    """
    Bring the books to what the processor says of a refund, whoever made it.

    Writes: Refund and CashEntry. Mails: refund_made for a sum that was owed.
    Repeat: a known refund changes nothing.
    """
    payment = _payment_by_id(sent.payment_id)
    if payment is None:
        return Finding(NOT_OURS)
    if sent.currency != payment.currency:
        return Finding(f"A refund in {sent.currency} for order {payment.pledge.code}.", payment, is_trouble=True)
    refund = Refund.objects.filter(key=sent.key, pledge=payment.pledge).first() if sent.key else None
    if sent.has_failed:
        return _unsend(sent, payment=payment, refund=refund, now=now)
    if sent.state != "succeeded":
        return Finding(f"A refund for order {payment.pledge.code} is on its way.", payment)
    happened_on = sent.created_at.astimezone(payment.pledge.show.zone).date()
    went = format_minor(sent.amount_minor, currency=sent.currency, locale=payment.pledge.show.locale)
    # Settled by hand another way meanwhile: then it went twice, and the second time is booked for what it is.
    is_another = (
        refund is not None
        and refund.state == Refund.State.DONE
        and (refund.way != "card" or refund.processor_id not in ("", sent.id))
    )
    is_open = refund is not None and refund.state != Refund.State.CALLED_OFF and not is_another
    if refund and is_open and refund.amount_minor == sent.amount_minor:
        was_done = refund.state == Refund.State.DONE
        Refund.objects.filter(pk=refund.pk).update(processor_id=sent.id)
        settle_refund(refund=refund, happened_on=happened_on, now=now)
        return Finding(f"{went} went back for order {payment.pledge.code}.", payment, has_changed=not was_done)
    key = f"card:{sent.id}"
    is_known = CashEntry.objects.filter(key=f"refund:{key}").exists()
    try:
        record_refund(
            pledge=payment.pledge, key=key, amount_minor=sent.amount_minor, way="card", happened_on=happened_on, now=now
        )
    except NotInThisState:
        words = f"{went} went back at the processor for order {payment.pledge.code}, more than came in. Not booked."
        return Finding(words, payment, is_trouble=True)
    words = f"{went} went back for order {payment.pledge.code}, begun at the processor and not here; it is booked."
    return Finding(words, payment, has_changed=not is_known)


def _payment_by_id(payment_id: str) -> CardPayment | None:
    rows = CardPayment.objects.select_related("pledge__show")
    return rows.filter(payment_id=payment_id).first() if payment_id else None


def _unsend(sent: SentBack, *, payment: CardPayment, refund: Refund | None, now: datetime) -> Finding:
    """A refund that the card's bank returned: the money is with the processor again, and still owed."""
    why = f"The card did not take it ({sent.reason or sent.state}); give it back another way."
    words = f"A refund for order {payment.pledge.code} came back. {why}"
    entry = CashEntry.objects.filter(key=f"refund:card:{sent.id}").first()
    if refund and refund.state == Refund.State.DONE and refund.processor_id == sent.id:
        entry = refund.entry
    elif refund and refund.state == Refund.State.SENDING:
        fail_refund(refund=refund, error=why, is_final=True, now=now)
        return Finding(words, payment, is_trouble=True, has_changed=True)
    if entry is None:
        return Finding(words, payment, is_trouble=True)
    is_new = not CashEntry.objects.filter(corrects=entry).exists()
    correct_entry(entry=entry, reason=why, now=now, is_still_owed=True)
    for owed in Refund.objects.filter(key__startswith=f"again:{entry.pk}", way="card", state=Refund.State.OWED):
        fail_refund(refund=owed, error=why, is_final=True, now=now)  # else it would be sent to the same card for ever
    return Finding(words, payment, is_trouble=True, has_changed=is_new)


def settle_dispute(disputed: Disputed, *, now: datetime) -> Finding:
    """
    Show a contested payment to the artist, and book what its bank took or gave again, each movement by its own key.

    Writes: Dispute, CashEntry. Repeat: a known movement is not booked again.
    """
    payment = _payment_by_id(disputed.payment_id)
    if payment is None:
        return Finding(NOT_OURS)
    booked = _book_dispute(disputed, payment=payment, now=now)
    show = payment.pledge.show
    amount = format_minor(disputed.amount_minor, currency=disputed.currency, locale=show.locale)
    seen = Dispute(state=disputed.state)
    by = f" Answer it at the processor by {disputed.answer_by_at.astimezone(show.zone):%-d %B %Y, %H:%M}." if (
        disputed.answer_by_at and seen.is_open
    ) else ""  # fmt: skip
    words = f"The bank of the payer contests {amount} of order {payment.pledge.code} ({seen.state_words}).{by}"
    return Finding(words, payment, is_trouble=disputed.state not in ("won", "warning_closed"), has_changed=booked)


@transaction.atomic(durable=True)
def _book_dispute(disputed: Disputed, *, payment: CardPayment, now: datetime) -> bool:
    pledge = lock_pledge(payment.pledge_id)
    _, is_new = Dispute.objects.update_or_create(
        dispute_id=disputed.id,
        defaults={
            "payment": payment, "amount_minor": disputed.amount_minor, "state": disputed.state,
            "reason": disputed.reason, "answer_by_at": disputed.answer_by_at, "opened_at": disputed.opened_at,
            "looked_at": now,
        },
    )  # fmt: skip
    moves = [one for one in disputed.movements if one.currency == payment.currency]
    booked = [_book_movement(one, pledge=pledge, now=now) for one in sorted(moves, key=lambda one: one.amount_minor)]
    return is_new or any(booked)


def _book_movement(move: Taken, *, pledge: Pledge, now: datetime) -> bool:
    key = f"card-dispute:{move.id}"
    if CashEntry.objects.filter(key__in=[key, f"fee:{key}"]).exists():
        return False
    where: dict[str, Any] = {"show": pledge.show, "pledge": pledge, "happened_on": move.happened_on, "now": now}
    if move.amount_minor < 0:
        ledger.post(
            **where, key=key, debit=Account.REFUNDS, credit=Account.PROCESSOR, amount_minor=-move.amount_minor,
            text=f"Taken back by the payer’s bank, order {pledge.code}",
        )  # fmt: skip
        _make_room(pledge, now=now)
    elif move.amount_minor > 0:
        ledger.post(
            **where, key=key, debit=Account.PROCESSOR, credit=_came_from(pledge, move), amount_minor=move.amount_minor,
            corrects=_taken(pledge, move), text=f"Given again after a contested payment, order {pledge.code}",
        )  # fmt: skip
    if move.fee_minor:
        debit, credit = Account.FEES, Account.PROCESSOR
        if move.fee_minor < 0:
            debit, credit = credit, debit
        ledger.post(
            **where, key=f"fee:{key}", debit=debit, credit=credit, amount_minor=abs(move.fee_minor),
            text=f"Fee for a contested payment, order {pledge.code}",
        )  # fmt: skip
    return True


def _taken(pledge: Pledge, move: Taken) -> CashEntry | None:
    """The withdrawal that a movement makes good to the cent; it is corrected then, as if it had not been."""
    taken = CashEntry.objects.filter(pledge=pledge, key__startswith="card-dispute:", corrected_by=None, corrects=None)
    return taken.filter(debit=Account.REFUNDS, amount_minor=move.amount_minor).first()


def _came_from(pledge: Pledge, move: Taken) -> Account:
    return Account.REFUNDS if _taken(pledge, move) else Account.ORDERS


def _make_room(pledge: Pledge, *, now: datetime) -> None:
    try:
        with transaction.atomic():  # the bank has the money, whatever was promised
            make_room(pledge, amount_minor=0, now=now, why="The payer’s bank took the money back.")
    except NotInThisState:
        return
