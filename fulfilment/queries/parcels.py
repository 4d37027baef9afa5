"""Parcels, their papers and their notices, as the Send room shows them."""

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from campaign.models import Copy, Job, OutboxMessage, Paper, Show
from fulfilment.models import Parcel

PAPERS, NOTICES = "papers", "notices"
Mail = OutboxMessage.State


@dataclass(frozen=True, slots=True)
class ParcelLine:
    """
    A parcel with its copies as "12/80"; `withdrawn` are those whose order was cancelled after it was numbered.

    `notice` is the state of the mail that says it is posted, empty while none is written.
    """

    parcel: Parcel
    copies: tuple[str, ...]
    withdrawn: tuple[str, ...]
    notice: str = ""

    @property
    def is_told(self) -> bool:
        """The notice has gone out; one that waits, or is held back, has told nobody."""
        return self.notice == Mail.SENT

    @property
    def notice_words(self) -> str:
        """What the notice does that has not gone out: waiting, held back by you, ..."""
        return Mail(self.notice).label if self.notice else ""

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
    def untold(self) -> tuple[tuple[str, int], ...]:
        """Notices that are written and have not gone out: what they do, in words, and how many do it."""
        return tuple(Counter(line.notice_words for line in self.lines if line.notice and not line.is_told).items())

    @property
    def unfinished_papers(self) -> tuple[Job, ...]:
        """Paper jobs that are under way or have stopped."""
        return tuple(job for job in self.jobs if job.state != Job.State.DONE)


def read_send(show: Show) -> SendPicture:
    """Parcels, paper jobs, papers (without their bytes) and notice batches of `show`; seven queries."""
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
    """Every parcel of `show` by number, with its copies and its notice."""
    parcels = Parcel.objects.filter(show=show).select_related("mailer").prefetch_related("parcel_copies__copy__edition")
    notices = read_notices(parcels)
    return tuple(_line(parcel, notice=notices.get(parcel.pk, "")) for parcel in parcels)


def read_notices(parcels: Iterable[Parcel]) -> dict[int, str]:
    """The state of the notice of each of `parcels` for which one is written, by the parcel's key. One query."""
    keys = {parcel.notice_key: parcel.pk for parcel in parcels if parcel.noticed_at}
    shows = {parcel.show_id for parcel in parcels if parcel.noticed_at}
    mails = OutboxMessage.objects.filter(name="parcel_posted", show__in=shows).values_list("key", "state")
    return {keys[key]: state for key, state in mails if key in keys}


def _line(parcel: Parcel, *, notice: str) -> ParcelLine:
    copies = [row.copy for row in parcel.parcel_copies.all()]
    kept = [copy for copy in copies if copy.state == Copy.State.SPOKEN_FOR]
    withdrawn = [copy for copy in copies if copy.state != Copy.State.SPOKEN_FOR]
    return ParcelLine(parcel, tuple(str(copy) for copy in kept), tuple(str(copy) for copy in withdrawn), notice)


def _paper_table(show: Show) -> tuple[tuple[str, ...], tuple[PaperRow, ...]]:
    """The kinds of papers there are, and a row for all papers of the same parcels: a title is both, with a comma."""
    papers = list(Paper.objects.filter(job__show=show, job__kind=PAPERS).defer("pdf"))
    kinds: dict[str, None] = {}
    rows: dict[str, dict[str, Paper]] = {}
    for paper in papers:
        kind, _, which = paper.title.partition(", ")
        kinds[kind] = None
        rows.setdefault(which, {})[kind] = paper
    # By the numbers of the parcels: papers that were made again come last otherwise.
    ordered = sorted(rows.items(), key=lambda one: [int(number) for number in re.findall(r"\d+", one[0])])
    table = [PaperRow(which, tuple((kind, row.get(kind)) for kind in kinds)) for which, row in ordered]
    return tuple(kinds), tuple(table)
