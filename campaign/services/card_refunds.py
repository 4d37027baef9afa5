"""Sends money back to cards: rows that are owed, claimed by lease; nothing goes twice, whatever answer is lost."""

import logging
import time
from datetime import datetime, timedelta

from django.db.models import F, Q

from campaign import processor
from campaign.errors import Refusal, TemporaryFailure
from campaign.models import Refund
from campaign.processor import AnsweredWithError, SentBack
from campaign.services.card_books import settle_sent_back
from campaign.services.refunds import fail_refund

log = logging.getLogger(__name__)
State = Refund.State
LEASE = timedelta(minutes=2)
LOOK_AGAIN = timedelta(hours=1)
MORE_KEYS = 2  # in one try than tries so far
ENOUGH_S = 60.0


def send_due_refunds(*, now: datetime, limit: int = 20) -> int:
    """
    Give back what is owed by card. Returns how many went out.

    The processor's list is asked first, so a sum whose answer was lost is found there and not sent again.
    Writes: Refund, CashEntry. Mails: refund_made.
    Repeat: a sum that has gone is never claimed again.
    """
    sent, started_s = 0, time.monotonic()
    for refund in _claim(now=now, limit=limit):
        if time.monotonic() - started_s > ENOUGH_S:
            break  # the others' leases run out by themselves
        try:
            sent += _send(refund, now=now)
        except TemporaryFailure as failure:
            fail_refund(refund=refund, error=str(failure), is_final=failure.permanent, now=now)
        except Refusal as refusal:
            fail_refund(refund=refund, error=refusal.sentence, is_final=True, now=now)
        except Exception:
            log.exception("refund %s was not sent", refund.pk)  # its lease ends, then it is tried again
    return sent


def _claim(*, now: datetime, limit: int) -> list[Refund]:
    is_free = Q(lease_until_at=None) | Q(lease_until_at__lt=now)
    due = Refund.objects.filter(is_free, way="card", state__in=(State.OWED, State.SENDING)).order_by("pk")
    taken = []
    for pk in list(due.values_list("pk", flat=True)[:limit]):
        won = Refund.objects.filter(is_free, pk=pk, state__in=(State.OWED, State.SENDING)).update(
            state=State.SENDING, lease_until_at=now + LEASE, attempts=F("attempts") + 1
        )
        if won == 1:  # else another worker was quicker
            taken.append(Refund.objects.select_related("card_payment", "pledge__show").get(pk=pk))
    return taken


def _send(refund: Refund, *, now: datetime) -> bool:
    payment = refund.card_payment
    if payment is None or not payment.payment_id:
        raise TemporaryFailure("no card payment is known that it could go back to", permanent=True)
    known = _list_known(refund, payment_id=payment.payment_id)  # the artist may have begun anew: no try is the first
    found = next((one for one in known if not one.has_failed), None)
    sent = found or _ask(refund, payment_id=payment.payment_id, failed=len(known))
    if sent.state == "succeeded":
        Refund.objects.filter(pk=refund.pk).update(processor_id=sent.id)
        settle_sent_back(sent, now=now)
        return True
    if sent.has_failed:
        raise TemporaryFailure(f"the card did not take it ({sent.reason or sent.state})", permanent=True)
    Refund.objects.filter(pk=refund.pk, state=State.SENDING).update(
        processor_id=sent.id, lease_until_at=now + LOOK_AGAIN
    )
    return False


def _list_known(refund: Refund, *, payment_id: str) -> list[SentBack]:
    return [one for one in processor.list_sent_back(payment_id=payment_id) if one.key == refund.key]


def _ask(refund: Refund, *, payment_id: str, failed: int) -> SentBack:
    """
    Ask for the refund, with the next key where an answer of the 500 class is kept under one.

    The keys follow from the row, so they are known before the first call and the same in every try: a time-out asks
    with the same key again. `failed` refunds of this row were refused by the card; each had a key of its own.
    """
    for number in range(failed + 1, failed + refund.attempts + MORE_KEYS + 1):
        try:
            return processor.send_back(
                key=refund.key if number == 1 else f"{refund.key}/{number}", name=refund.key, payment_id=payment_id,
                amount_minor=refund.amount_minor,
            )  # fmt: skip
        except AnsweredWithError:
            found = [one for one in _list_known(refund, payment_id=payment_id) if not one.has_failed]
            if found:  # it was done, and then the answer went wrong
                return found[0]
    raise AnsweredWithError("the card processor answers with errors only")
