"""
The job that numbers parcels and makes their slips and labels.

It can be killed anywhere, run twice or be run by two workers at once: the row's lease lets one of them write, what is
there already is not made again, and no number is given twice.
"""

import os
from collections.abc import Callable, Sequence
from dataclasses import asdict
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F, Max, Q, QuerySet

from campaign.errors import NotInThisState, TemporaryFailure
from campaign.models import Copy, Job, Paper, Show
from campaign.pdf import PdfSource, RenderedPdf, render_side_by_side
from fulfilment.models import Parcel, ParcelCopy
from fulfilment.pdf import PaperSource, paper_names, paper_sources
from fulfilment.queries.parcel_plan import PlannedParcel, plan_parcels, read_packing_ground
from fulfilment.queries.production import read_ready_copies
from fulfilment.services.production import PAPERS, UNFINISHED, papers_title

CHUNK = 25  # parcels a document: memory stays flat, progress moves, a crash costs seconds
CHUNKS_A_CHILD = 2  # to start the engine takes as long as ten slips
CHILDREN = 2  # where the machine has as many processors
CHUNKS_A_RUN = 8  # a worker gives the job back after so many; the next sweep goes on with it
LEASE = timedelta(minutes=5)
PAUSE = timedelta(seconds=10)
MAX_ATTEMPTS = 5
INTERRUPTED = "Making the papers was interrupted several times and has stopped. What is made stays; try again."
State = Job.State


class LeaseLost(Exception):
    """Another worker has the job now; this one must not write any more."""


def list_due_jobs(*, now: datetime) -> list[int]:
    """Keys of the jobs that a worker could take now."""
    return list(_takeable(now).filter(attempts__lt=MAX_ATTEMPTS).values_list("pk", flat=True))


def give_up_exhausted(*, now: datetime) -> int:
    """Stop jobs whose workers died again and again. Repeat: nothing is left to stop. Returns how many."""
    exhausted = _takeable(now).filter(attempts__gte=MAX_ATTEMPTS)
    return exhausted.update(state=State.FAILED, error=INTERRUPTED, lease_until_at=None, finished_at=now)


def make_papers(*, job_pk: int, clock: Callable[[], datetime]) -> str:
    """
    Take the job if it is free and do its work, or as much of it as one run should.

    Writes: Parcel, ParcelCopy, Copy.is_packed, Paper, Job; one transaction for the numbering and one for each chunk.
    Repeat: parcels and papers that are there stay as they are. Returns one word on what became of it.
    """
    job = _claim(job_pk, now=clock())
    if job is None:
        return "taken"
    try:
        _number_parcels(job, now=clock())
        is_finished = _make_chunks(job, clock=clock)
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
    again = Job.objects.filter(pk=job.pk, kind=PAPERS, state=State.FAILED)
    if again.update(state=State.WAITING, attempts=0, error="", lease_until_at=None, finished_at=None, starts_at=now):
        return
    current = Job.objects.get(pk=job.pk)
    if current.is_over:
        raise NotInThisState(what="This job", state=current.get_state_display())


def make_again(parcels: Sequence[Parcel]) -> None:
    """
    Drop the papers that show `parcels` and let a worker make them again, within the transaction of a caller.

    Writes: Paper, Job. A worker at one of these jobs loses its lease: what it has read is out of date.
    """
    for job in Job.objects.filter(parcels__in=parcels).distinct():
        chunks = [chunk for chunk in _chunks(list(job.parcels.all())) if any(parcel in parcels for parcel in chunk)]
        stale = [name for chunk in chunks for name in paper_names(chunk, with_needless=True)]
        Paper.objects.filter(job=job, name__in=stale).delete()
        Job.objects.filter(pk=job.pk).update(
            state=State.WAITING, lease_until_at=None, attempts=0, error="", finished_at=None,
            done=F("total") - sum(len(chunk) for chunk in chunks),
        )  # fmt: skip


def stop_workers(show: Show) -> None:
    """
    Whoever numbers or prints parcels of `show` begins anew: the addresses it has read are about to change.

    Waits for a numbering that is just being written, so that its parcels are seen by the caller's transaction.
    """
    Job.objects.filter(show=show, kind=PAPERS, state__in=UNFINISHED).update(state=State.WAITING, lease_until_at=None)


def _chunks(parcels: Sequence[Parcel]) -> list[Sequence[Parcel]]:
    return [parcels[start : start + CHUNK] for start in range(0, len(parcels), CHUNK)]


def _takeable(now: datetime) -> QuerySet[Job]:
    free = Q(lease_until_at=None) | Q(lease_until_at__lt=now)
    return Job.objects.filter(free, kind=PAPERS, state__in=UNFINISHED, starts_at__lte=now)


def _claim(job_pk: int, *, now: datetime) -> Job | None:
    won = (
        _takeable(now)
        .filter(pk=job_pk, attempts__lt=MAX_ATTEMPTS)
        .update(state=State.RUNNING, lease_until_at=now + LEASE, attempts=F("attempts") + 1)
    )
    return Job.objects.select_related("show").get(pk=job_pk) if won == 1 else None


def _mine(job: Job) -> QuerySet[Job]:
    """The row while this worker's lease is the one in it."""
    return Job.objects.filter(pk=job.pk, state=State.RUNNING, lease_until_at=job.lease_until_at)


def _write(job: Job, **changes: object) -> None:
    """Move the row on as its lease holder, first in a transaction so that it also locks. Raises: LeaseLost."""
    if _mine(job).update(**changes) != 1:
        raise LeaseLost
    for field, value in changes.items():
        setattr(job, field, value)


@transaction.atomic(durable=True)
def _number_parcels(job: Job, *, now: datetime) -> None:
    _write(job, lease_until_at=now + LEASE)
    if job.parcels.exists():  # numbered before a crash: these numbers stand
        return
    ground = read_packing_ground(job.show, today=now.astimezone(job.show.zone).date())
    planned = plan_parcels(ground, read_ready_copies(job.show)).parcels  # what is refused stays without a parcel
    highest = Parcel.objects.filter(show=job.show).aggregate(n=Max("number", default=0))["n"]
    parcels = Parcel.objects.bulk_create(
        _parcel(one, job=job, number=number) for number, one in enumerate(planned, start=highest + 1)
    )
    ParcelCopy.objects.bulk_create(
        ParcelCopy(parcel=parcel, copy_id=copy.key)
        for parcel, one in zip(parcels, planned, strict=True)
        for copy in one.copies
    )
    Copy.objects.filter(pk__in=[copy.key for one in planned for copy in one.copies]).update(is_packed=True)
    _write(job, total=len(parcels), done=0, title=papers_title(len(parcels)))


def _parcel(planned: PlannedParcel, *, job: Job, number: int) -> Parcel:
    return Parcel(
        show=job.show,
        job=job,
        number=number,
        name=planned.group.name,
        email=planned.group.email,
        address=dict(planned.group.address),
        mailer=planned.mailer,
        caution=planned.caution,
        **asdict(planned.sums),
    )


def _make_chunks(job: Job, *, clock: Callable[[], datetime]) -> bool:
    """The papers of each chunk that has none yet. Returns: whether all are there."""
    copies = ("parcel_copies__copy__edition", "parcel_copies__copy__pledge", "parcel_copies__copy__line")
    parcels = list(job.parcels.prefetch_related(*copies))
    chunks = _chunks(parcels)
    made = set(Paper.objects.filter(job=job).values_list("name", flat=True))
    left = [chunk for chunk in chunks if not made.issuperset(paper_names(chunk))]
    now, at_once = left[:CHUNKS_A_RUN], CHUNKS_A_CHILD * max(1, min(CHILDREN, os.cpu_count() or 1))
    for start in range(0, len(now), at_once):
        _make_some(now[start : start + at_once], job=job, clock=clock)
    return len(left) <= CHUNKS_A_RUN


def _make_some(chunks: Sequence[Sequence[Parcel]], *, job: Job, clock: Callable[[], datetime]) -> None:
    _write(job, lease_until_at=clock() + LEASE)
    sources = [paper_sources(chunk, show=job.show) for chunk in chunks]
    rendered = render_chunks([[source.pdf for source in some] for some in sources])
    for chunk, some, made in zip(chunks, sources, rendered, strict=True):
        _keep_papers(job, sources=some, rendered=made, last=chunk[-1], now=clock())


def render_chunks(chunks: Sequence[Sequence[PdfSource]]) -> list[list[RenderedPdf]]:
    """The documents of each chunk, made by as many children as there is work for. Outside any transaction: seconds."""
    batches = [chunks[start : start + CHUNKS_A_CHILD] for start in range(0, len(chunks), CHUNKS_A_CHILD)]
    made = iter(
        [
            paper
            for papers in render_side_by_side([[source for chunk in batch for source in chunk] for batch in batches])
            for paper in papers
        ]
    )
    return [[next(made) for _ in chunk] for chunk in chunks]


@transaction.atomic(durable=True)
def _keep_papers(
    job: Job, *, sources: Sequence[PaperSource], rendered: Sequence[RenderedPdf], last: Parcel, now: datetime
) -> None:
    # A chunk that is through shows that the job gets on: only attempts without any progress count.
    done = job.parcels.filter(number__lte=last.number).count()
    _write(job, lease_until_at=now + LEASE, attempts=0, done=done)
    Paper.objects.bulk_create(
        Paper(job=job, name=source.name, title=source.title, pages=made.pages, pdf=made.pdf, made_at=now)
        for source, made in zip(sources, rendered, strict=True)
    )


def _give_back(job: Job, *, is_finished: bool, now: datetime) -> None:
    if is_finished:
        _write(job, state=State.DONE, done=job.total, lease_until_at=None, finished_at=now, error="")
    else:
        _write(job, state=State.WAITING, lease_until_at=None)


def _note_failure(job: Job, *, failure: TemporaryFailure, now: datetime) -> None:
    sentence = str(failure)[:500]
    if failure.permanent or job.attempts >= MAX_ATTEMPTS:
        _mine(job).update(state=State.FAILED, error=sentence, lease_until_at=None, finished_at=now)
    else:  # the lease that runs on is the pause before the next attempt
        _mine(job).update(state=State.WAITING, error=sentence, lease_until_at=now + PAUSE * job.attempts)
