"""Parcels, their papers and their notices, as the Send room shows them."""

from dataclasses import dataclass

from campaign.models import Copy, Job, Paper, Show
from fulfilment.models import Parcel

PAPERS, NOTICES = "papers", "notices"


@dataclass(frozen=True, slots=True)
class ParcelLine:
    """A parcel with its copies as "12/80"; `withdrawn` are those whose order was cancelled after it was numbered."""

    parcel: Parcel
    copies: tuple[str, ...]
    withdrawn: tuple[str, ...]

    @property
    def is_void(self) -> bool:
        """Nothing of it is for anybody: every order in it was cancelled before it was posted."""
        return not self.copies and not self.parcel.is_posted


@dataclass(frozen=True, slots=True)
class PaperRow:
    """The papers for some parcels: of each kind there is one, or None where they need none of it."""

    which: str
    by_kind: tuple[tuple[str, Paper | None], ...]


@dataclass(frozen=True, slots=True)
class SendPicture:
    """Everything the Send room shows."""

    lines: tuple[ParcelLine, ...]
    jobs: tuple[Job, ...]
    paper_kinds: tuple[str, ...]
    paper_rows: tuple[PaperRow, ...]
    notice_jobs: tuple[Job, ...]

    @property
    def total(self) -> int:
        """All parcels that are for somebody."""
        return sum(not line.is_void for line in self.lines)

    @property
    def to_pack(self) -> int:
        """Parcels neither packed nor posted yet."""
        return sum(line.parcel.state == Parcel.State.TO_PACK and not line.is_void for line in self.lines)

    @property
    def packed(self) -> int:
        """Parcels that are packed and wait to be handed over."""
        return sum(line.parcel.state == Parcel.State.PACKED and not line.is_void for line in self.lines)

    @property
    def to_take_out(self) -> int:
        """Cancelled copies that lie in parcels which are not posted."""
        return sum(len(line.withdrawn) for line in self.lines if not line.parcel.is_posted)

    @property
    def posted(self) -> int:
        """Parcels on their way."""
        return sum(line.parcel.is_posted for line in self.lines)

    @property
    def to_notice(self) -> int:
        """Posted parcels whose recipients have not been told."""
        return sum(line.parcel.is_posted and line.parcel.noticed_at is None for line in self.lines)

    @property
    def unfinished_papers(self) -> tuple[Job, ...]:
        """Paper jobs that are under way or have stopped."""
        return tuple(job for job in self.jobs if job.state != Job.State.DONE)


def read_send(show: Show) -> SendPicture:
    """Parcels, paper jobs, papers (without their bytes) and notice batches of `show`; six queries."""
    jobs = list(Job.objects.filter(show=show, kind__in=[PAPERS, NOTICES]).order_by("pk"))
    kinds, rows = _paper_table(show)
    return SendPicture(
        lines=list_parcel_lines(show),
        jobs=tuple(job for job in jobs if job.kind == PAPERS),
        paper_kinds=kinds,
        paper_rows=rows,
        notice_jobs=tuple(job for job in jobs if job.kind == NOTICES),
    )


def list_parcel_lines(show: Show) -> tuple[ParcelLine, ...]:
    """Every parcel of `show` by number, with its copies."""
    parcels = Parcel.objects.filter(show=show).select_related("mailer").prefetch_related("parcel_copies__copy__edition")
    return tuple(_line(parcel) for parcel in parcels)


def _line(parcel: Parcel) -> ParcelLine:
    copies = [row.copy for row in parcel.parcel_copies.all()]
    kept = [copy for copy in copies if copy.state == Copy.State.SPOKEN_FOR]
    withdrawn = [copy for copy in copies if copy.state != Copy.State.SPOKEN_FOR]
    return ParcelLine(parcel, tuple(str(copy) for copy in kept), tuple(str(copy) for copy in withdrawn))


def _paper_table(show: Show) -> tuple[tuple[str, ...], tuple[PaperRow, ...]]:
    """The kinds of papers there are, and a row for all papers of the same parcels: a title is both, with a comma."""
    papers = list(Paper.objects.filter(job__show=show, job__kind=PAPERS).defer("pdf"))
    kinds: dict[str, None] = {}
    rows: dict[str, dict[str, Paper]] = {}
    for paper in papers:
        kind, _, which = paper.title.partition(", ")
        kinds[kind] = None
        rows.setdefault(which, {})[kind] = paper
    table = [PaperRow(which, tuple((kind, row.get(kind)) for kind in kinds)) for which, row in rows.items()]
    return tuple(kinds), tuple(table)
