"""The job that numbers parcels and makes their slips and labels; no number is given twice."""

from collections.abc import Callable, Sequence
from dataclasses import asdict
from datetime import datetime
from functools import partial

from django.db import transaction
from django.db.models import F, Max

from campaign.models import Copy, Job, Paper, Show
from fulfilment.models import PackAnyway, Parcel, ParcelCopy
from fulfilment.pdf import paper_names, paper_sources
from fulfilment.queries.parcel_plan import PlannedParcel, plan_parcels, read_packing_ground
from fulfilment.queries.production import read_ready_copies
from fulfilment.services.paper_jobs import LEASE, Chunk, PaperKind, move_on, run_job
from fulfilment.services.production import PAPERS, UNFINISHED, papers_title

CHUNK = 25  # parcels a document: memory stays flat, progress moves, a crash costs seconds
COPIES = ("parcel_copies__copy__edition", "parcel_copies__copy__pledge", "parcel_copies__copy__line")
State = Job.State


def make_papers(*, job_pk: int, clock: Callable[[], datetime]) -> str:
    """
    Take the job if it is free and do its work, or as much of it as one run should.

    Writes: Parcel, ParcelCopy, Copy.is_packed, Paper, Job; one transaction for the numbering and one for each chunk.
    Repeat: parcels and papers that are there stay as they are. Returns one word on what became of it.
    """
    return run_job(SLIPS_AND_LABELS, job_pk=job_pk, clock=clock)


def make_again(parcels: Sequence[Parcel]) -> None:
    """
    Drop the papers that show `parcels` and let a worker make them again, within the transaction of a caller.

    Writes: Paper, Job. A worker at one of these jobs loses its lease: what it has read is out of date.
    """
    for job in Job.objects.filter(parcels__in=parcels).distinct():
        chunks = [chunk for chunk in _chunks(list(job.parcels.all())) if any(parcel in parcels for parcel in chunk)]
        stale = [name for chunk in chunks for name in paper_names(chunk, with_needless=True)]
        # The job first: a worker that is just keeping papers has its row, and they are here once it lets go.
        Job.objects.filter(pk=job.pk).update(
            state=State.WAITING, lease_until_at=None, attempts=0, error="", finished_at=None,
            done=F("total") - sum(len(chunk) for chunk in chunks),
        )  # fmt: skip
        Paper.objects.filter(job=job, name__in=stale).delete()


def stop_workers(show: Show) -> None:
    """
    Whoever numbers or prints parcels of `show` begins anew: the addresses it has read are about to change.

    Waits for a numbering that is just being written, so that its parcels are seen by the caller's transaction.
    """
    Job.objects.filter(show=show, kind=PAPERS, state__in=UNFINISHED).update(state=State.WAITING, lease_until_at=None)


def _chunks(parcels: Sequence[Parcel]) -> list[Sequence[Parcel]]:
    return [parcels[start : start + CHUNK] for start in range(0, len(parcels), CHUNK)]


@transaction.atomic(durable=True)
def _number_parcels(job: Job, now: datetime) -> None:
    move_on(job, lease_until_at=now + LEASE)
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
    keys = [copy.key for one in planned for copy in one.copies]
    Copy.objects.filter(pk__in=keys).update(is_packed=True)
    PackAnyway.objects.filter(copy__in=keys).delete()  # said of this parcel, not of where they may go later
    move_on(job, total=len(parcels), done=0, title=papers_title(len(parcels)))


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


def _list_chunks(job: Job) -> list[Chunk]:
    parcels = list(job.parcels.select_related("mailer").prefetch_related(*COPIES))
    return [
        Chunk(paper_names(some), CHUNK * at + len(some), partial(paper_sources, some, show=job.show))
        for at, some in enumerate(_chunks(parcels))
    ]


SLIPS_AND_LABELS = PaperKind(PAPERS, begin=_number_parcels, list_chunks=_list_chunks)
