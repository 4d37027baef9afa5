"""A backer pays by card: one open payment page for an order, opened by the web process outside any transaction."""

import time
from datetime import datetime, timedelta

from django.db import transaction

from campaign import processor
from campaign.errors import NotInThisState, TemporaryFailure, WayNotOffered
from campaign.models import CardPayment, Pledge, Studio
from campaign.processor import AnsweredWithError, KeyInUse
from campaign.queries.money import received_for
from campaign.queries.postage import is_way_offered
from campaign.services.card_books import settle_session
from campaign.services.owing import lock_pledge

State = CardPayment.State
LIVE = (State.WANTED, State.OPEN)
# The processor's clock and ours differ a little, and a call takes a while.
MARGIN = timedelta(minutes=5)
WAITS, WAIT_S = 10, 0.2


def begin_card_payment(*, pledge: Pledge, success_url: str, cancel_url: str, now: datetime) -> CardPayment:
    """
    Open the processor's page for what is missing of an order; `pay_url` of the answer is where the backer goes.

    The row with its key is committed before the call, so a call without an answer is asked again with the same key.
    Writes: CardPayment, and all that a payment writes if an earlier page turns out to be paid: its state says so.
    Raises: WayNotOffered, NotInThisState; TemporaryFailure if the processor does not open a page. No money has moved
        on a page that was not opened.
    Repeat: while a page is open for the same sum, the same page.
    """
    payment = CardPayment.objects.filter(pledge=pledge, state__in=LIVE).first()
    if payment:
        payment = _look_at(payment, now=now)
        if payment.state == State.PAID or (payment.state == State.OPEN and _is_for(payment, pledge)):
            return payment
        if payment.state == State.OPEN:
            _close(payment, now=now)
    payment = _want(pledge_pk=pledge.pk, now=now)
    return payment if payment.state == State.OPEN else _open(payment, success_url, cancel_url, now=now)


def _is_for(payment: CardPayment, pledge: Pledge) -> bool:
    return payment.amount_minor == pledge.total_minor - received_for(pledge)


def _look_at(payment: CardPayment, *, now: datetime) -> CardPayment:
    """An earlier attempt as the processor has it now. One whose call was lost long ago is looked for in its list."""
    if payment.state == State.OPEN:
        settle_session(processor.fetch_session(payment.session_id), now=now)
    elif not _can_be_repeated(payment, now=now):
        find_lost(payment, now=now)
    payment.refresh_from_db()
    return payment


def _can_be_repeated(payment: CardPayment, *, now: datetime) -> bool:
    """Whether the processor would still take the first call, or remembers its answer."""
    in_time = payment.expires_at is not None and payment.expires_at - now >= processor.SHORTEST
    is_remembered = now - payment.created_at < processor.KEY_LIFE - MARGIN
    return in_time and is_remembered and _is_for(payment, payment.pledge)


def find_lost(payment: CardPayment, *, now: datetime) -> None:
    """
    Look in the processor's list for the page of a call whose answer was lost; without one the attempt has failed.

    Writes: CardPayment, and what `settle_session` writes. Raises: TemporaryFailure.
    """
    sessions = processor.list_sessions(since=payment.created_at - MARGIN)
    found = next((session for session in sessions if session.key == payment.key), None)
    if found:
        settle_session(found, now=now)
    else:
        CardPayment.objects.filter(pk=payment.pk, state=State.WANTED).update(
            state=State.FAILED, looked_at=now, last_error="The processor never had it."
        )


def _close(payment: CardPayment, *, now: datetime) -> None:
    """End a page for another sum, so that it cannot be paid beside the new one."""
    try:
        session = processor.close_session(payment.session_id)
    except TemporaryFailure as failure:
        if not failure.permanent:
            raise
        session = processor.fetch_session(payment.session_id)  # it was paid or has ended in this very moment
    settle_session(session, now=now)


@transaction.atomic(durable=True)
def _want(*, pledge_pk: int, now: datetime) -> CardPayment:
    """The row of the attempt, with its key, before anybody is called."""
    pledge = lock_pledge(pledge_pk)
    live = CardPayment.objects.filter(pledge=pledge, state__in=LIVE).first()
    if live:
        return live
    if pledge.state != Pledge.State.HELD:
        raise NotInThisState(what="The order", state=pledge.get_state_display())
    missing_minor = pledge.total_minor - received_for(pledge)
    if missing_minor <= 0:
        raise NotInThisState(what="The order", state="paid already")
    if not is_way_offered(studio=Studio.objects.get(pk=1), show=pledge.show, way="card"):
        raise WayNotOffered(way="card")
    latest = min(pledge.hold_until_at, now + processor.LONGEST - MARGIN)
    return CardPayment.objects.create(
        pledge=pledge, amount_minor=missing_minor, currency=pledge.currency, created_at=now,
        expires_at=max(latest, now + processor.SHORTEST + MARGIN),
    )  # fmt: skip


def _open(payment: CardPayment, success_url: str, cancel_url: str, *, now: datetime) -> CardPayment:
    pledge = payment.pledge
    assert payment.expires_at is not None, "written with the row"
    try:
        session = processor.open_session(
            key=payment.key, reference=pledge.code, title=f"{pledge.show.title}, order {pledge.code}",
            amount_minor=payment.amount_minor, currency=payment.currency, success_url=success_url,
            cancel_url=cancel_url, expires_at=payment.expires_at,
        )  # fmt: skip
    except KeyInUse:
        return _wait_for(payment)
    except TemporaryFailure as failure:
        is_over = failure.permanent or isinstance(failure, AnsweredWithError)  # the key would bring the same no again
        CardPayment.objects.filter(pk=payment.pk, state=State.WANTED).update(
            state=State.FAILED if is_over else State.WANTED, last_error=str(failure)[:300]
        )
        raise
    settle_session(session, now=now)
    payment.refresh_from_db()
    return payment


def _wait_for(payment: CardPayment) -> CardPayment:
    """The button was pressed twice: the other call, with the same key, is opening the page. Raises: KeyInUse."""
    for _ in range(WAITS):
        time.sleep(WAIT_S)
        payment.refresh_from_db()
        if payment.state != State.WANTED:
            return payment
    raise KeyInUse("the card processor is still at work on the first call")
