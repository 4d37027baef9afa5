"""Long work: a job's state against what is done of it."""

from collections.abc import Iterator

from campaign.models import Job, Pledge
from campaign.services.checks.findings import Finding, finding

State = Job.State


def check_jobs() -> Finding:
    """A job that is over has a moment, one that is done has done all; one that ended orders has left none alive."""
    return finding("jobs", _jobs())


def _jobs() -> Iterator[str | None]:
    live = Pledge.LIVE
    alive = set(Pledge.objects.filter(show__state="called_off", state__in=live).values_list("show", flat=True))
    for job in Job.objects.all().iterator():
        if job.is_over != (job.finished_at is not None):
            yield f"job {job.code} is {job.state}, its moment of ending says otherwise"
        elif job.state == State.DONE and job.done != job.total:
            yield f"job {job.code} is done with {job.done} of {job.total}"
        elif job.kind == "refunds" and job.state == State.DONE and job.show_id in alive:
            yield f"job {job.code} is done, but orders of its show are alive"
        else:
            yield None
