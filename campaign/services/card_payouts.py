"""Money that the processor pays out to the bank account, shared out over the shows it belongs to."""

from collections import Counter
from datetime import datetime

from django.db import transaction

from campaign import ledger, processor
from campaign.measures.money import format_minor
from campaign.models import Account, CardPayment, CashEntry, Payout, Show
from campaign.processor import PaidOut, Part
from campaign.services.card_books import Finding, settle_session

ARRIVED, UNDONE = ("paid",), ("failed", "canceled")
UNDER_WAY = ("pending", "in_transit")
# Kinds of movements that are payments of backers; what is paid out is booked as received first.
_CHARGES = ("charge", "payment")


def settle_payout(paid_out: PaidOut, *, now: datetime) -> Finding:
    """
    Keep a payout with its day, and book it from the processor to the bank once it has arrived.

    A payout holds the money of all shows, and of whatever else uses the same account: each show is booked its own
    part, by the processor's list of movements. One that failed after all is undone by its mirror image.
    Writes: Payout, CashEntry, CardPayment (which payout it went out with); payments that were missed, as received.
    Repeat: a known payout changes nothing.
    """
    parts = [] if paid_out.state in UNDONE else processor.list_parts(paid_out.id)
    _book_missed(parts, now=now)
    return _settle(paid_out, parts=parts, now=now)


def _book_missed(parts: list[Part], *, now: datetime) -> None:
    wanted = {part.payment_id for part in parts if part.kind in _CHARGES and part.payment_id}
    known = CardPayment.objects.filter(payment_id__in=wanted, state=CardPayment.State.PAID)
    for payment_id in sorted(wanted - set(known.values_list("payment_id", flat=True))):
        session = processor.find_session_of_payment(payment_id)
        if session is not None and session.key:
            settle_session(session, now=now)


@transaction.atomic(durable=True)
def _settle(paid_out: PaidOut, *, parts: list[Part], now: datetime) -> Finding:
    row, is_new = Payout.objects.select_for_update(no_key=True).get_or_create(
        payout_id=paid_out.id,
        defaults={
            "amount_minor": paid_out.amount_minor, "currency": paid_out.currency, "arrives_on": paid_out.arrives_on,
            "state": paid_out.state, "looked_at": now,
        },
    )  # fmt: skip
    has_moved = is_new or (row.state, row.arrives_on) != (paid_out.state, paid_out.arrives_on)
    row.state, row.arrives_on, row.looked_at = paid_out.state, paid_out.arrives_on, now
    row.save(update_fields=["state", "arrives_on", "looked_at"])
    shares = _shares(parts, payout=row)
    amount = format_minor(paid_out.amount_minor, currency=paid_out.currency, locale="en")
    if paid_out.state in UNDONE:
        undone = _undo(row, now=now)
        CardPayment.objects.filter(payout=row).update(payout=None)
        words = f"The payout of {amount} did not reach the bank account ({row.state_words})."
        return Finding(words, is_trouble=True, has_changed=undone or has_moved)
    if paid_out.state not in ARRIVED:
        return Finding(f"{amount} is to arrive on {paid_out.arrives_on:%-d %B %Y}.", has_changed=has_moved)
    booked = [_book(row, show_pk=show_pk, net_minor=net_minor, now=now) for show_pk, net_minor in shares.items()]
    if paid_out.amount_minor and not parts:
        words = f"{amount} was paid out, but the processor does not say of which payments. Nothing was booked."
        return Finding(words, is_trouble=True, has_changed=has_moved)
    return Finding(f"{amount} was paid out{_of_others(row, shares=shares)}.", has_changed=any(booked) or has_moved)


def _of_others(payout: Payout, *, shares: Counter[int]) -> str:
    """What of a payout is no payment of this site, such as a monthly fee or money of another shop."""
    rest_minor = payout.amount_minor - sum(shares.values())
    rest = format_minor(rest_minor, currency=payout.currency, locale="en")
    return f", of which {rest} is of no payment here" if rest_minor else ""


def _shares(parts: list[Part], *, payout: Payout) -> Counter[int]:
    """What of a payout is each show's, by its key; and note on the payments with what they went out."""
    rows = CardPayment.objects.filter(payment_id__in={part.payment_id for part in parts if part.payment_id})
    shows = dict(rows.values_list("payment_id", "pledge__show"))
    paid = {part.payment_id for part in parts if part.kind in _CHARGES}
    rows.filter(payment_id__in=paid).exclude(payout=payout).update(payout=payout)
    shares: Counter[int] = Counter()
    for part in parts:
        if part.payment_id in shows and part.currency == payout.currency:
            shares[shows[part.payment_id]] += part.net_minor
    return shares


def _book(payout: Payout, *, show_pk: int, net_minor: int, now: datetime) -> bool:
    """True if it was not booked yet. A payout of refunds alone takes money from the bank account."""
    key = f"payout:{payout.payout_id}"[:60] + f":{show_pk}"
    show = Show.objects.get(pk=show_pk)
    if net_minor == 0 or show.currency != payout.currency or CashEntry.objects.filter(key=key).exists():
        return False
    debit, credit = (Account.BANK, Account.PROCESSOR) if net_minor > 0 else (Account.PROCESSOR, Account.BANK)
    ledger.post(
        show=show, key=key, debit=debit, credit=credit, amount_minor=abs(net_minor), happened_on=payout.arrives_on,
        now=now, text=f"Paid out by the card processor, {payout.payout_id}",
    )  # fmt: skip
    return True


def _undo(payout: Payout, *, now: datetime) -> bool:
    """Mirror images of what was booked for a payout that failed later. True if there was anything."""
    start = f"payout:{payout.payout_id}"[:60] + ":"
    entries = CashEntry.objects.select_related("show").filter(key__startswith=start, corrected_by=None)
    undone = [
        ledger.post(
            show=entry.show, key=f"correct:{entry.pk}", debit=entry.credit, credit=entry.debit,
            amount_minor=entry.amount_minor, happened_on=now.astimezone(entry.show.zone).date(), now=now,
            corrects=entry, text=f"Did not reach the bank account: {payout.payout_id}",
        )
        for entry in entries
    ]  # fmt: skip
    return bool(undone)
