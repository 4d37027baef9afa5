"""Every kind of job that makes papers, for the worker that is handed no more than a key."""

from collections.abc import Callable
from datetime import datetime

from campaign.models import Job
from fulfilment.services.certificate_papers import CERTIFICATE_PAPERS
from fulfilment.services.paper_jobs import PaperKind, run_job
from fulfilment.services.papers import SLIPS_AND_LABELS

ALL: dict[str, PaperKind] = {kind.kind: kind for kind in (SLIPS_AND_LABELS, CERTIFICATE_PAPERS)}


def make_papers(*, job_pk: int, clock: Callable[[], datetime]) -> str:
    """
    Do a job's work, or as much of it as one run should; see `run_job`.

    Writes: what its kind writes, Paper, Job.
    Repeat: papers that are there stay as they are. Returns one word; "taken" as well for a job that is gone.
    """
    kind = Job.objects.filter(pk=job_pk).values_list("kind", flat=True).first()
    return run_job(ALL[kind], job_pk=job_pk, clock=clock) if kind in ALL else "taken"
