"""
Jobs that make papers, a chunk at a time; which papers and in what chunks each kind of job says for itself.

A job can be killed anywhere, run twice or be run by two workers at once: the row's lease lets one of them write, and
what is there already is not made again.
"""

import os
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F, Q, QuerySet

from campaign.errors import NotInThisState, TemporaryFailure
from campaign.models import Job, Paper
from campaign.pdf import PdfSource, RenderedPdf, render_in_turn
from fulfilment.pdf import PaperSource
from fulfilment.services.production import PAPERS, UNFINISHED

CERTIFICATES = "certificates"
KINDS = (PAPERS, CERTIFICATES)
CHILDREN = 2  # where the machine has as many processors; each makes a chunk
CHUNKS_A_RUN = 8  # a worker gives the job back after so many; the next sweep goes on with it
LEASE = timedelta(minutes=5)
PAUSE = timedelta(seconds=10)
MAX_ATTEMPTS = 5
INTERRUPTED = "Making the papers was interrupted several times and has stopped. What is made stays; try again."
State = Job.State


class LeaseLost(Exception):
    """Another worker has the job now; this one must not write any more."""


@dataclass(frozen=True, slots=True)
class Chunk:
    """Papers that are made and kept together; `done` is how much of the job's total is through with them."""

    names: tuple[str, ...]
    done: int
    sources: Callable[[], Sequence[PaperSource]]


@dataclass(frozen=True, slots=True)
class PaperKind:
    """
    A kind of job. `begin` writes what must be there before the first chunk, in a transaction of its own, and leaves
    alone what is there; `list_chunks` says all chunks of a job, the same ones each time it is asked.
    """

    kind: str
    begin: Callable[[Job, datetime], None]
    list_chunks: Callable[[Job], Sequence[Chunk]]


def list_due_jobs(*, now: datetime) -> list[int]:
    """Keys of the jobs that a worker could take now."""
    return list(_takeable(now).filter(attempts__lt=MAX_ATTEMPTS).values_list("pk", flat=True))


def give_up_exhausted(*, now: datetime) -> int:
    """Stop jobs whose workers died again and again. Repeat: nothing is left to stop. Returns how many."""
    exhausted = _takeable(now).filter(attempts__gte=MAX_ATTEMPTS)
    return exhausted.update(state=State.FAILED, error=INTERRUPTED, lease_until_at=None, finished_at=now)


def run_job(kind: PaperKind, *, job_pk: int, clock: Callable[[], datetime]) -> str:
    """
    Take the job if it is free and do its work, or as much of it as one run should.

    Writes: what the kind begins with, Paper, Job; one transaction for the beginning and one for each chunk.
    Repeat: papers that are there stay as they are. Returns one word on what became of it.
    """
    job = _claim(job_pk, kind=kind.kind, now=clock())
    if job is None:
        return "taken"
    try:
        kind.begin(job, clock())
        is_finished = _make_chunks(kind.list_chunks(job), job=job, clock=clock)
        _give_back(job, is_finished=is_finished, now=clock())
    except LeaseLost:
        return "lost"
    except TemporaryFailure as failure:
        _note_failure(job, failure=failure, now=clock())
        return "failed"
    return "done" if is_finished else "paused"


@transaction.atomic(durable=True)
def retry_papers(*, job: Job, now: datetime) -> None:
    """
    Let a job that stopped by an error be taken again.

    Writes: Job.
    Raises: NotInThisState for a job that is done.
    Repeat: a job under way stays so.
    """
    again = Job.objects.filter(pk=job.pk, kind__in=KINDS, state=State.FAILED)
    if again.update(state=State.WAITING, attempts=0, error="", lease_until_at=None, finished_at=None, starts_at=now):
        return
    current = Job.objects.get(pk=job.pk)
    if current.is_over:
        raise NotInThisState(what="This job", state=current.get_state_display())


def _takeable(now: datetime) -> QuerySet[Job]:
    free = Q(lease_until_at=None) | Q(lease_until_at__lt=now)
    return Job.objects.filter(free, kind__in=KINDS, state__in=UNFINISHED, starts_at__lte=now)


def _claim(job_pk: int, *, kind: str, now: datetime) -> Job | None:
    won = (
        _takeable(now)
        .filter(pk=job_pk, kind=kind, attempts__lt=MAX_ATTEMPTS)
        .update(state=State.RUNNING, lease_until_at=now + LEASE, attempts=F("attempts") + 1)
    )
    return Job.objects.select_related("show").get(pk=job_pk) if won == 1 else None


def _mine(job: Job) -> QuerySet[Job]:
    """The row while this worker's lease is the one in it."""
    return Job.objects.filter(pk=job.pk, state=State.RUNNING, lease_until_at=job.lease_until_at)


def move_on(job: Job, **changes: object) -> None:
    """Move the row on as its lease holder, first in a transaction so that it also locks. Raises: LeaseLost."""
    if _mine(job).update(**changes) != 1:
        raise LeaseLost
    for field, value in changes.items():
        setattr(job, field, value)


def _make_chunks(chunks: Sequence[Chunk], *, job: Job, clock: Callable[[], datetime]) -> bool:
    """The papers of each chunk that has none yet. Returns: whether all are there."""
    made = set(Paper.objects.filter(job=job).values_list("name", flat=True))
    left = [chunk for chunk in chunks if not made.issuperset(chunk.names)]
    _make_some(left[:CHUNKS_A_RUN], job=job, clock=clock)
    return len(left) <= CHUNKS_A_RUN


def _make_some(chunks: Sequence[Chunk], *, job: Job, clock: Callable[[], datetime]) -> None:
    """So many chunks, each in a child, and each kept when it is done. Outside any transaction: it takes seconds."""
    asked: deque[Sequence[PaperSource]] = deque()

    def ask() -> Iterator[Sequence[PdfSource]]:
        for chunk in chunks:
            move_on(job, lease_until_at=clock() + LEASE)
            asked.append(chunk.sources())
            yield [source.pdf for source in asked[-1]]

    at_once = max(1, min(CHILDREN, os.cpu_count() or 1))
    with closing(render_in_turn(ask(), at_once=at_once)) as in_turn:
        for chunk, rendered in zip(chunks, in_turn, strict=True):
            _keep_papers(job, sources=asked.popleft(), rendered=rendered, done=chunk.done, now=clock())


@transaction.atomic(durable=True)
def _keep_papers(
    job: Job, *, sources: Sequence[PaperSource], rendered: Sequence[RenderedPdf], done: int, now: datetime
) -> None:
    # A chunk that is through shows that the job gets on: only attempts without any progress count.
    move_on(job, lease_until_at=now + LEASE, attempts=0, done=done)
    Paper.objects.bulk_create(
        Paper(job=job, name=source.name, title=source.title, pages=made.pages, pdf=made.pdf, made_at=now)
        for source, made in zip(sources, rendered, strict=True)
    )


def _give_back(job: Job, *, is_finished: bool, now: datetime) -> None:
    if is_finished:
        move_on(job, state=State.DONE, done=job.total, lease_until_at=None, finished_at=now, error="")
    else:
        move_on(job, state=State.WAITING, lease_until_at=None)


def _note_failure(job: Job, *, failure: TemporaryFailure, now: datetime) -> None:
    sentence = str(failure)[:500]
    if failure.permanent or job.attempts >= MAX_ATTEMPTS:
        _mine(job).update(state=State.FAILED, error=sentence, lease_until_at=None, finished_at=now)
    else:  # the lease that runs on is the pause before the next attempt
        _mine(job).update(state=State.WAITING, error=sentence, lease_until_at=now + PAUSE * job.attempts)
