"""Celery's side of the campaign: thin, repeatable; rows say what is due, so a lost tick loses nothing."""

import logging
from collections.abc import Callable, Iterable

from celery import shared_task
from django.utils import timezone

from campaign import outbox
from campaign.queries.cards import are_cards_set_up
from campaign.services import (
    bank_statements,
    batches,
    bounces,
    calling_off,
    card_events,
    card_reconciling,
    card_refunds,
    confirming,
    funders,
    late_notices,
    links,
    plans,
    pledges,
    pulses,
    rates,
    updates,
    waiting,
)

log = logging.getLogger(__name__)
STEPS = (
    ("alive", pulses.beat_sweep),
    ("links sent", links.answer_link_requests),
    ("mails sent", outbox.deliver_due),
    ("reminded", pledges.remind_due_holds),
    ("lapsed", pledges.lapse_due_holds),
    ("asked for their address", confirming.ask_due_orders),
    ("reminded of their address", confirming.remind_due_orders),
    ("silent late orders ended", late_notices.end_silent_orders),
    ("places ended", waiting.end_places),
    ("offers lapsed", waiting.lapse_offers),
    ("copies offered", waiting.offer_due_copies),
    ("orders ended with their show", calling_off.end_orders),
    ("deadlines near", funders.remind_of_deadlines),
    ("updates sent", updates.send_due_updates),
    ("returned mails read", bounces.take_new_mail),
    ("batches under way", batches.follow_batches),
    ("bank files dropped", bank_statements.drop_old_uploads),
    ("counts dropped", rates.forget_old),
)


CARD_STEPS = (
    ("messages applied", card_events.apply_events),
    ("sent back to cards", card_refunds.send_due_refunds),
    ("card payments looked at", card_reconciling.look_after_payments),
    ("compared with the processor", card_reconciling.reconcile_due),
)


@shared_task(name="campaign.sweep", ignore_result=True, expires=10)
def sweep() -> str:
    """Everything quick that is due; a step that fails leaves the others alone. Two sweeps share it, but the mails."""
    return _run(STEPS)


@shared_task(name="campaign.cards", ignore_result=True, expires=10)
def cards() -> str:
    """What is due with the card processor. Apart from the sweep: it may be slow to answer, and mail does not wait."""
    return _run(CARD_STEPS) if are_cards_set_up() else "no cards are taken"


def _run(steps: Iterable[tuple[str, Callable[..., object]]]) -> str:
    done = []
    for name, step in steps:
        try:
            done.append(f"{name} {step(now=timezone.now())}")
        except Exception:
            log.exception("%s: this step of the sweep failed, the others go on", name)
            done.append(f"{name} failed")
    return ", ".join(done)


@shared_task(name="campaign.rebuild", ignore_result=True, expires=10)
def rebuild() -> str:
    """Stale staircases. Apart from the sweep: one may take seconds, and mail does not wait for it."""
    return f"rebuilt {plans.refresh_stale_staircases(now=timezone.now())}"
