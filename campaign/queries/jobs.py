"""A job as its page shows it: how far, in words, with its papers and with mails that wait for a decision."""

from dataclasses import dataclass
from datetime import datetime

from campaign.models import Job, OutboxMessage, Paper
from campaign.queries.news import BatchCount, count_batch, list_unknown


@dataclass(frozen=True, slots=True)
class JobPage:
    """`seconds_to_start` is what is left of the time in which it can be called off before anything has happened."""

    job: Job
    papers: tuple[Paper, ...]
    counts: tuple[BatchCount, ...]
    unknown: tuple[OutboxMessage, ...]
    seconds_to_start: int

    @property
    def can_be_called_off(self) -> bool:
        """A batch of news that has some to send; a late notice and notices of parcels before they start."""
        is_early = self.job.kind in ("late", "notices") and self.seconds_to_start > 0
        return (self.job.kind == "news" or is_early) and not self.job.is_over

    @property
    def can_be_paused(self) -> bool:
        """A batch of mails that is going out; not a notice of late posting, as the days to answer it run."""
        return bool(self.counts) and self.job.state == Job.State.RUNNING and self.job.kind != "late"

    @property
    def is_paused(self) -> bool:
        """A batch that the artist holds back."""
        return self.job.state == Job.State.PAUSED


def read_job(job: Job, *, now: datetime) -> JobPage:
    """The page of `job`; the papers' bytes are not read. Three queries."""
    return JobPage(
        job=job,
        papers=tuple(Paper.objects.filter(job=job).defer("pdf")),
        counts=count_batch(job),
        unknown=tuple(list_unknown(job)),
        seconds_to_start=max(0, round((job.starts_at - now).total_seconds())),
    )
