"""Certificates made by a job: each once however often a worker dies, nothing void among them, progress."""

import contextlib
import itertools
from datetime import timedelta

import pytest

from campaign.models import Job, Paper
from fulfilment.errors import NoCertificates
from fulfilment.models import CertificateBatch
from fulfilment.services import certificate_papers, paper_jobs
from fulfilment.services.certificate_papers import begin_certificates, make_certificate_papers
from fulfilment.services.certificates import issue_certificates, void_certificates
from fulfilment.services.paper_jobs import list_due_jobs
from fulfilment.services.paper_kinds import make_papers
from tests.fulfilment.scene import LATER, edition_of, end, order, printed_show

pytestmark = pytest.mark.usefixtures("engine")
NAMES = ["certificates-harbour-001-002.pdf", "certificates-harbour-003-004.pdf", "certificates-harbour-005-005.pdf"]


@pytest.fixture
def edition(show, monkeypatch):
    """Five certificates, two a document."""
    monkeypatch.setattr(certificate_papers, "CHUNK", 2)
    for _ in range(5):
        order(show)
    edition = edition_of(show)
    issue_certificates(edition=edition, numbers=(), now=LATER)
    return edition


def begin(edition, **wish):
    return begin_certificates(edition=edition, now=LATER, **({"numbers": ()} | wish))


def run(job, *, now=LATER, deadly=None):
    """One run with a clock that moves; at reading number `deadly` the worker dies."""

    def read():
        reading = next(readings)
        if reading == deadly:
            raise KeyboardInterrupt
        return now + timedelta(seconds=reading)

    readings = itertools.count()
    return make_certificate_papers(job_pk=job.pk, clock=read)


def papers():
    return list(Paper.objects.order_by("name").values_list("name", "pages"))


def test_the_job_makes_every_certificate_once_with_its_progress(edition):
    job = begin(edition)
    assert (job.kind, job.total, job.title) == ("certificates", 5, "Certificates of Harbour light")
    assert begin(edition) == job, "a second click is the job that is under way"
    assert list_due_jobs(now=LATER) == [job.pk]
    assert run(job) == "done"
    assert papers() == [(NAMES[0], 2), (NAMES[1], 2), (NAMES[2], 1)]
    assert Paper.objects.get(name=NAMES[2]).title == "Certificates of Harbour light, copy 5"
    job.refresh_from_db()
    assert (job.state, job.done, job.total) == (Job.State.DONE, 5, 5)
    assert run(job) == "taken"
    assert begin(edition) != job, "what is over may be asked for again"


def test_a_worker_that_dies_at_any_moment_leaves_each_paper_once(edition, monkeypatch):
    monkeypatch.setattr(paper_jobs, "CHILDREN", 1)
    job = begin(edition)
    for deadly in range(8):
        with contextlib.suppress(KeyboardInterrupt):
            run(job, now=LATER + timedelta(hours=deadly), deadly=deadly)
        Job.objects.filter(pk=job.pk).update(attempts=0)
    assert run(job, now=LATER + timedelta(days=1)) in ("done", "taken")
    assert [name for name, _ in papers()] == NAMES
    job.refresh_from_db()
    assert (job.state, job.done) == (Job.State.DONE, 5)


def test_a_long_job_is_given_back_and_goes_on(edition, monkeypatch):
    monkeypatch.setattr(paper_jobs, "CHUNKS_A_RUN", 2)
    job = begin(edition)
    assert run(job) == "paused"
    job.refresh_from_db()
    assert (job.state, job.done) == (Job.State.WAITING, 4)
    assert run(job) == "done"
    assert len(papers()) == 3


def test_what_is_void_is_on_no_paper_and_papers_with_it_are_made_again(edition):
    job = begin(edition)
    void_certificates(edition=edition, numbers=[1, 5], now=LATER)
    assert run(job) == "done"
    assert papers() == [(NAMES[0], 1), (NAMES[1], 2)]
    void_certificates(edition=edition, numbers=[3], now=LATER)
    assert papers() == []
    job.refresh_from_db()
    assert (job.state, job.done) == (Job.State.WAITING, 0)
    assert run(job) == "done"
    assert papers() == [(NAMES[0], 1), (NAMES[1], 1)]
    void_certificates(edition=edition, numbers=[3], now=LATER)
    assert len(papers()) == 2, "nothing was voided, so nothing is made again"


def test_some_numbers_or_none_that_hold(edition):
    job = begin(edition, numbers=(2, 4, 9))
    assert CertificateBatch.objects.get(job=job).numbers == [2, 4]
    run(job)
    assert papers() == [("certificates-harbour-002-004.pdf", 2)]
    void_certificates(edition=edition, numbers=range(1, 6), now=LATER)
    run(job, now=LATER + timedelta(hours=1))
    with pytest.raises(NoCertificates):
        begin(edition)


def test_a_worker_is_handed_keys_of_either_kind(show, edition):
    certificates = begin(edition)
    assert make_papers(job_pk=certificates.pk, clock=lambda: LATER) == "done"
    slips = end(printed_show(show, orders=1))
    assert make_papers(job_pk=slips.pk, clock=lambda: LATER) == "done"
    notices = Job.objects.create(show=show, kind="notices", key="n", title="N", starts_at=LATER, created_at=LATER)
    assert make_papers(job_pk=notices.pk, clock=lambda: LATER) == "taken"
    assert make_papers(job_pk=987_654, clock=lambda: LATER) == "taken"
    assert make_certificate_papers(job_pk=slips.pk, clock=lambda: LATER) == "taken"


def test_a_later_job_replaces_the_papers_that_it_makes_anew(edition):
    run(begin(edition))
    some = begin(edition, numbers=(1, 2))
    assert len(papers()) == 3, "two numbers of five replace no paper"
    run(some)
    run(begin(edition))
    assert [name for name, _ in papers()] == NAMES
