"""Celery's side of printing and posting: thin, repeatable; rows say what is due, so a lost tick loses nothing."""

import logging

from celery import shared_task
from django.utils import timezone

from campaign.services import verification
from fulfilment.services import checks, packing_material, paper_jobs, paper_kinds, people

log = logging.getLogger(__name__)


@shared_task(name="fulfilment.sweep", ignore_result=True, expires=10)
def sweep() -> str:
    """Hand out what is due, including jobs whose worker died; two sweeps at once only waste a message."""
    now = timezone.now()
    stopped = paper_jobs.give_up_exhausted(now=now)
    due = paper_jobs.list_due_jobs(now=now)
    for job_pk in due:
        make_papers.delay(job_pk)
    packing_material.reckon_unreckoned(now=now)  # last: should it fail, papers are on their way
    return f"handed out {len(due)}, stopped {stopped}"


@shared_task(name="fulfilment.make_papers", ignore_result=True)
def make_papers(job_pk: int) -> str:
    """The papers of one job, or as many as one run should make; taken or gone is a clean end."""
    became = paper_kinds.make_papers(job_pk=job_pk, clock=timezone.now)
    log.info("papers job %s: %s", job_pk, became)
    return became


@shared_task(name="fulfilment.verify", ignore_result=True, expires=60)
def verify() -> str:
    """Recount all figures, once an hour."""
    return verification.verify_hourly(checks=checks.ALL_CHECKS, clock=timezone.now)


@shared_task(name="fulfilment.forget_old", ignore_result=True, expires=3600)
def forget_old() -> str:
    """Names and addresses of shows that have been over for as long as the artist keeps them."""
    return f"removed from {people.forget_old(now=timezone.now())} orders"
