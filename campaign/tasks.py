"""Celery's side of the campaign: thin, repeatable; rows say what is due, so a lost tick loses nothing."""

import logging

from celery import shared_task
from django.utils import timezone

from campaign import outbox
from campaign.services import links, plans, pledges, rates, updates

log = logging.getLogger(__name__)


@shared_task(name="campaign.sweep", ignore_result=True, expires=10)
def sweep() -> str:
    """Everything that is due: mail, reminders, lapsed holds, stale staircases. Two sweeps at once share the work."""
    now = timezone.now()
    links.answer_link_requests(now=now)
    sent = outbox.deliver_due(now=now)
    reminded = pledges.remind_due_holds(now=now)
    lapsed = pledges.lapse_due_holds(now=now)
    updates.follow_batches(now=timezone.now())
    rebuilt = plans.refresh_stale_staircases(now=now)
    rates.forget_old(now=now)
    return f"sent {sent}, reminded {reminded}, lapsed {lapsed}, rebuilt {rebuilt}"
