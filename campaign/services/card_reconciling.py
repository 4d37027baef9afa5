"""Compares the processor's own lists with our rows: mends what no message told of, and says what differs still."""

import logging
from collections.abc import Callable, Iterator, Sequence
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F, Q

from campaign import processor
from campaign.errors import TemporaryFailure
from campaign.models import CardPayment, Dispute, Payout, Reconciliation, Refund
from campaign.queries.cards import are_cards_set_up
from campaign.services.card_books import Finding, settle_dispute, settle_sent_back, settle_session
from campaign.services.card_payouts import UNDER_WAY, settle_payout
from campaign.services.cards import find_lost

log = logging.getLogger(__name__)
State = CardPayment.State
EVERY = timedelta(hours=24)
LEASE = timedelta(minutes=10)
OVERLAP = timedelta(days=3)  # a page stands open for a day, a message comes for three
MARGIN = timedelta(hours=1)  # between our clock and the processor's
FAILED_LATE = timedelta(days=14)  # a payout may be taken back within some working days
SOON, LATER = timedelta(minutes=10), timedelta(minutes=15)
LONGEST_LIST = 200


def ask_for_reconciliation(*, now: datetime) -> Reconciliation:
    """
    Let the worker compare now.

    Writes: Reconciliation. Repeat: one that waits or runs already is the one.
    """
    with transaction.atomic(durable=True):
        waiting = Reconciliation.objects.select_for_update(no_key=True).filter(finished_at=None).first()
        return waiting or Reconciliation.objects.create(asked_at=now)


def reconcile_due(*, now: datetime) -> int:
    """Compare once a day and when asked for, while there is any card payment. Returns how many comparisons ended."""
    if not CardPayment.objects.exists():
        return 0
    newest = Reconciliation.objects.first()
    if newest is None or (newest.finished_at and newest.finished_at < now - EVERY):
        newest = ask_for_reconciliation(now=now)
    if newest.finished_at:
        return 0
    is_free = Q(lease_until_at=None) | Q(lease_until_at__lt=now)
    won = Reconciliation.objects.filter(is_free, pk=newest.pk, finished_at=None).update(lease_until_at=now + LEASE)
    if won != 1:
        return 0
    try:
        reconcile(run=newest, now=now)
    except TemporaryFailure as failure:
        Reconciliation.objects.filter(pk=newest.pk).update(
            lease_until_at=now + timedelta(minutes=1), last_error=str(failure)[:300]
        )
        return 0
    return 1


def reconcile(*, run: Reconciliation, now: datetime) -> Reconciliation:
    """
    List pages, refunds, disputes and payouts since the last comparison, and every row of ours that is not settled.

    Writes: Reconciliation, and what the steps in `card_books` and `card_payouts` write.
    Raises: TemporaryFailure; what was mended until then stays mended.
    Repeat: mends nothing twice.
    """
    since = _since(now=now)
    seen: set[str] = set()
    findings = [finding for finding in _compare(since, seen=seen, now=now) if finding.sentence]
    findings += _missing_there(since, seen=seen)
    Reconciliation.objects.filter(pk=run.pk).update(
        finished_at=now, lease_until_at=None, last_error="", payments=len(seen),
        mended=_sentences(one for one in findings if one.has_changed and not one.is_trouble),
        differences=_sentences(one for one in findings if one.is_trouble),
    )  # fmt: skip
    run.refresh_from_db()
    return run


def _since(*, now: datetime) -> datetime:
    last = Reconciliation.objects.filter(finished_at__isnull=False).order_by("-asked_at").first()
    first = CardPayment.objects.order_by("created_at").first()
    begin = (first.created_at if first else now) - MARGIN
    return max(begin, last.asked_at - OVERLAP) if last else begin


def _sentences(findings: Iterator[Finding]) -> list[str]:
    return list(dict.fromkeys(finding.sentence for finding in findings))[:LONGEST_LIST]


def _compare(since: datetime, *, seen: set[str], now: datetime) -> Iterator[Finding]:
    for session in processor.list_sessions(since=since):
        if session.key:
            seen.add(session.id)
        yield settle_session(session, now=now)
    for payment in CardPayment.objects.filter(state=State.OPEN).exclude(session_id__in=seen):
        yield settle_session(processor.fetch_session(payment.session_id), now=now)
    for payment in CardPayment.objects.filter(state=State.WANTED, created_at__lt=now - processor.KEY_LIFE):
        find_lost(payment, now=now)
    yield from _each(processor.list_sent_back(since=since), settle_sent_back, now=now)
    waiting = Refund.objects.filter(way="card", state=Refund.State.SENDING).exclude(processor_id="")
    for refund_id in waiting.values_list("processor_id", flat=True):
        yield settle_sent_back(processor.fetch_sent_back(refund_id), now=now)
    yield from _each(processor.list_disputes(since=since), settle_dispute, now=now)
    for dispute_id in Dispute.objects.exclude(state__in=Dispute.OVER).values_list("dispute_id", flat=True):
        yield settle_dispute(processor.fetch_dispute(dispute_id), now=now)
    payouts = processor.list_payouts(since=since - FAILED_LATE)
    yield from _each(payouts, settle_payout, now=now)
    old = Payout.objects.filter(state__in=UNDER_WAY).exclude(payout_id__in=[payout.id for payout in payouts])
    for payout_id in old.values_list("payout_id", flat=True):
        yield settle_payout(processor.fetch_payout(payout_id), now=now)


def _each(things: Sequence[object], settle: Callable[..., Finding], *, now: datetime) -> Iterator[Finding]:
    for thing in things:
        yield settle(thing, now=now)


def _missing_there(since: datetime, *, seen: set[str]) -> list[Finding]:
    """Payments that we have as paid since then, and the processor's list does not have at all."""
    ours = CardPayment.objects.filter(state=State.PAID, created_at__gte=since + MARGIN)
    return [
        Finding(f"Order {row.pledge.code}: booked as paid by card, but the processor has no such page.", row, True)
        for row in ours.exclude(session_id__in=seen).select_related("pledge")
    ]


def look_after_payments(*, now: datetime, limit: int = 20) -> int:
    """
    Look at payments of which no message came: pages that stand open for long or have ended, fees not known yet.

    Writes: what `settle_session` writes. Returns how many were looked at. Repeat: each is left alone for a while.
    """
    if not are_cards_set_up():
        return 0
    not_lately = Q(looked_at=None) | Q(looked_at__lt=now - LATER)
    open_long = Q(state=State.OPEN, created_at__lt=now - SOON)
    no_fee = Q(state=State.PAID, fee_minor=None, paid_at__gt=now - timedelta(days=7))
    due = CardPayment.objects.filter(not_lately, open_long | no_fee).order_by(F("looked_at").asc(nulls_first=True))
    looked = 0
    for payment in list(due[:limit]):
        won = CardPayment.objects.filter(not_lately, pk=payment.pk).update(looked_at=now)
        if won != 1:
            continue
        try:
            settle_session(processor.fetch_session(payment.session_id), now=now)
        except TemporaryFailure as failure:
            CardPayment.objects.filter(pk=payment.pk).update(last_error=str(failure)[:300])
            if not failure.permanent:
                break
        looked += 1
    return looked
