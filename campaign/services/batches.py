"""Mails that go out together: how far they are, holding them back for a while, and going on."""

from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Count, Q

from campaign.errors import NotInThisState, NotReady
from campaign.models import Job, OutboxMessage

State, Mail = Job.State, OutboxMessage.State
LATE = "late"  # the kind of the jobs of late_notices.py
NOT_OVER = (State.WAITING, State.RUNNING, State.PAUSED)
LEFT = (Mail.PENDING, Mail.PAUSED, Mail.SENDING)  # what has not gone out


@transaction.atomic(durable=True)
def pause_batch(*, job: Job) -> int:
    """
    Hold back what of a batch of mails has not gone out; what a worker has in hand still goes.

    Writes: Job, OutboxMessage.
    Raises: NotInThisState for a batch that has not begun or is over, and for work that is no batch of mails; NotReady
        for a notice of late posting, as the days to answer it run.
    Repeat: a paused batch stays so. Returns how many mails are held back now.
    """
    current = _lock(job)
    if current.state not in (State.RUNNING, State.PAUSED) or not current.messages.exists():
        raise NotInThisState(what="This batch", state=current.get_state_display())
    if current.kind == LATE:
        raise NotReady("A notice of late posting goes out whole: the days to answer it run from today.")
    Job.objects.filter(pk=job.pk).update(state=State.PAUSED)
    return _hold_back(job)


def _lock(job: Job) -> Job:
    return Job.objects.select_for_update(no_key=True).get(pk=job.pk)


def _hold_back(job: Job) -> int:
    job.messages.filter(state=Mail.PENDING).update(state=Mail.PAUSED)
    return job.messages.filter(state=Mail.PAUSED).count()


@transaction.atomic(durable=True)
def resume_batch(*, job: Job) -> int:
    """
    Let a paused batch go on.

    Writes: Job, OutboxMessage.
    Raises: NotInThisState for a batch that is over or has not begun.
    Repeat: one that goes on already stays so. Returns how many mails were held back.
    """
    current = _lock(job)
    if current.state not in (State.PAUSED, State.RUNNING):
        raise NotInThisState(what="This batch", state=current.get_state_display())
    Job.objects.filter(pk=job.pk, state=State.PAUSED).update(state=State.RUNNING)
    return int(job.messages.filter(state=Mail.PAUSED).update(state=Mail.PENDING))


def follow_batches(*, now: datetime) -> int:
    """
    Move the progress of mail batches on from their messages; what the sweep calls.

    Writes: Job; OutboxMessage of a paused batch, where a mail that a worker had in hand comes back to be tried again.
    Returns how many batches are still under way.
    """
    jobs = Job.objects.filter(messages__isnull=False, state__in=NOT_OVER).annotate(
        left=Count("messages", filter=Q(messages__state__in=LEFT)),
        moving=Count("messages", filter=Q(messages__state__in=[Mail.PENDING, Mail.SENDING])),
    )
    return sum(_is_at_rest(job) or _follow(job.pk, now=now) for job in jobs)


def _is_at_rest(job: Any) -> bool:
    """A paused batch of which nothing moves and all is counted: may stay so for days, without a lock each time."""
    return bool(job.state == State.PAUSED and job.left and not job.moving and job.done == job.total - job.left)


@transaction.atomic(durable=True)
def _follow(key: int, *, now: datetime) -> bool:
    """One batch, under its lock: somebody may pause it, or let it go on, at the same moment."""
    job = Job.objects.select_for_update(no_key=True).get(pk=key)
    if job.state not in NOT_OVER:
        return False
    if job.state == State.PAUSED:
        _hold_back(job)
    left = job.messages.filter(state__in=LEFT).count()
    state, finished_at = State(job.state), None
    if left == 0:
        state, finished_at = State.DONE, now
    elif state == State.WAITING and now >= job.starts_at:
        state = State.RUNNING
    moved = {"state": state, "done": job.total - left, "finished_at": finished_at}
    if any(getattr(job, name) != value for name, value in moved.items()):
        Job.objects.filter(pk=job.pk).update(**moved)
    return left > 0
