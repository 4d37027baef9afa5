"""Messages of the processor: kept before they are answered, applied later by the worker, whatever their order."""

import logging
import time
from collections.abc import Callable
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F, Q, QuerySet

from campaign import processor
from campaign.errors import TemporaryFailure, pause_after
from campaign.models import CardPayment, ProcessorEvent
from campaign.processor import AnsweredWithError
from campaign.services.card_books import NOT_OURS, Finding, settle_dispute, settle_sent_back, settle_session
from campaign.services.card_payouts import settle_payout

log = logging.getLogger(__name__)
LEASE = timedelta(minutes=2)
MAX_ATTEMPTS = 110  # with an hour between later ones more than four days
ENOUGH_S = 60.0  # for one round; the rest waits for the next


@transaction.atomic(durable=True)
def take_event(*, body: bytes, signature: str, now: datetime) -> bool:
    """
    Keep a message of the processor so that it can be answered; nothing is believed yet. True if it is new.

    Writes: ProcessorEvent, for the kinds that matter here.
    Raises: processor.BadSignature for one that is forged, stale or no message at all; NotSetUp without a key.
    Repeat: the same message is kept once.
    """
    event = processor.read_event(body=body, signature=signature)
    if event.kind not in APPLIERS:
        return False
    _, is_new = ProcessorEvent.objects.get_or_create(
        event_id=event.id,
        defaults={
            "kind": event.kind, "object_id": event.object_id, "happened_at": event.happened_at, "received_at": now,
        },
    )  # fmt: skip
    return is_new


def apply_events(*, now: datetime, limit: int = 50) -> int:
    """
    Ask anew what the due messages tell of, and book it. Returns how many are done with.

    Writes: ProcessorEvent, and what the steps in `card_books` and `card_payouts` write.
    Repeat: an applied message is never taken again; one that was cut short is, and its steps are repeatable.
    """
    events, started_s, done = _claim(now=now, limit=limit), time.monotonic(), 0
    for position, event in enumerate(events):
        if time.monotonic() - started_s > ENOUGH_S or not _try(event, now=now):
            _give_back(events[position + 1 :], now=now)
            break
        done += 1
    return done


def _claim(*, now: datetime, limit: int) -> list[ProcessorEvent]:
    free = Q(lease_until_at=None) | Q(lease_until_at__lt=now)
    due = ProcessorEvent.objects.filter(free, applied_at=None).order_by("pk").values_list("pk", flat=True)
    taken = []
    for pk in list(due[:limit]):
        won = ProcessorEvent.objects.filter(free, pk=pk, applied_at=None).update(
            lease_until_at=now + LEASE, attempts=F("attempts") + 1
        )
        if won == 1:  # else another worker was quicker
            taken.append(ProcessorEvent.objects.get(pk=pk))
    return taken


def _held(event: ProcessorEvent) -> QuerySet[ProcessorEvent]:
    """The row while the lease in it is this worker's."""
    return ProcessorEvent.objects.filter(pk=event.pk, applied_at=None, lease_until_at=event.lease_until_at)


def _try(event: ProcessorEvent, *, now: datetime) -> bool:
    """Apply one message. False if the processor gives no answers just now: the others would only wait for it too."""
    try:
        finding = APPLIERS[event.kind](event.object_id, now=now)
    except TemporaryFailure as failure:
        if failure.permanent or event.attempts >= MAX_ATTEMPTS:
            _finish(event, Finding(f"Could not be looked up: {failure}", is_trouble=True), now=now)
            return True
        _put_off(event, why=str(failure), now=now)
        return isinstance(failure, AnsweredWithError) or type(failure) is TemporaryFailure
    except Exception as error:
        log.exception("message %s of the card processor was not applied", event.pk)
        _put_off(event, why=f"Not applied: {type(error).__name__}", now=now)
        return True
    _finish(event, finding, now=now)
    return True


def _finish(event: ProcessorEvent, finding: Finding, *, now: datetime) -> None:
    _held(event).update(
        applied_at=now, lease_until_at=None, outcome=finding.sentence[:300], is_trouble=finding.is_trouble,
        payment=finding.payment,
    )  # fmt: skip


def _put_off(event: ProcessorEvent, *, why: str, now: datetime) -> None:
    _held(event).update(
        lease_until_at=now + pause_after(event.attempts), outcome=why[:300], is_trouble=event.attempts >= 5
    )


def _give_back(events: list[ProcessorEvent], *, now: datetime) -> None:
    """What this worker claimed and did not come to; it was no attempt."""
    for event in events:
        _held(event).update(lease_until_at=now + timedelta(seconds=5), attempts=F("attempts") - 1)


def _session(object_id: str, *, now: datetime) -> Finding:
    return settle_session(processor.fetch_session(object_id), now=now)


def _charge(object_id: str, *, now: datetime) -> Finding:
    """The fee of a charge is known now, or something else of it."""
    payment_id = processor.fetch_payment_id_of_charge(object_id)
    known = CardPayment.objects.filter(payment_id=payment_id).exclude(session_id="").first() if payment_id else None
    if known:
        return _session(known.session_id, now=now)
    found = processor.find_session_of_payment(payment_id) if payment_id else None
    return settle_session(found, now=now) if found else Finding(NOT_OURS)


def _refund(object_id: str, *, now: datetime) -> Finding:
    return settle_sent_back(processor.fetch_sent_back(object_id), now=now)


def _dispute(object_id: str, *, now: datetime) -> Finding:
    return settle_dispute(processor.fetch_dispute(object_id), now=now)


def _payout(object_id: str, *, now: datetime) -> Finding:
    return settle_payout(processor.fetch_payout(object_id), now=now)


APPLIERS: dict[str, Callable[..., Finding]] = {
    "checkout.session.completed": _session,
    "checkout.session.async_payment_succeeded": _session,
    "checkout.session.async_payment_failed": _session,
    "checkout.session.expired": _session,
    "charge.updated": _charge,
    "refund.created": _refund,
    "refund.updated": _refund,
    "refund.failed": _refund,
    "charge.dispute.created": _dispute,
    "charge.dispute.updated": _dispute,
    "charge.dispute.funds_withdrawn": _dispute,
    "charge.dispute.funds_reinstated": _dispute,
    "charge.dispute.closed": _dispute,
    "payout.created": _payout,
    "payout.updated": _payout,
    "payout.paid": _payout,
    "payout.failed": _payout,
    "payout.canceled": _payout,
}
