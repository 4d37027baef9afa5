"""Celery's side of the campaign: thin, repeatable; rows say what is due, so a lost tick loses nothing."""

import logging

from celery import shared_task
from django.utils import timezone

from campaign import outbox
from campaign.services import calling_off, funders, links, plans, pledges, pulses, rates, updates

log = logging.getLogger(__name__)
STEPS = (
    ("alive", pulses.beat_sweep),
    ("links sent", links.answer_link_requests),
    ("mails sent", outbox.deliver_due),
    ("reminded", pledges.remind_due_holds),
    ("lapsed", pledges.lapse_due_holds),
    ("orders ended with their show", calling_off.end_orders),
    ("deadlines near", funders.remind_of_deadlines),
    ("batches under way", updates.follow_batches),
    ("counts dropped", rates.forget_old),
)


@shared_task(name="campaign.sweep", ignore_result=True, expires=10)
def sweep() -> str:
    """Everything quick that is due; a step that fails leaves the others alone. Two sweeps at once share the work."""
    done = []
    for name, step in STEPS:
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
