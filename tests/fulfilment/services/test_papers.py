import contextlib
import itertools
from datetime import timedelta

import pytest
from django.db import transaction

from campaign.errors import NotInThisState
from campaign.models import Job, Paper
from fulfilment.models import Parcel, ParcelCopy
from fulfilment.queries.paper_choice import choose_parcels
from fulfilment.queries.parcels import read_send
from fulfilment.services import paper_jobs, papers
from fulfilment.services.paper_jobs import LEASE, MAX_ATTEMPTS, give_up_exhausted, list_due_jobs, retry_papers
from fulfilment.services.papers import make_papers
from tests.builders import BERLIN_ADDRESS, LONDON_ADDRESS
from tests.fulfilment.scene import (
    LATER,
    close,
    end,
    numbers_of,
    order,
    print_all,
    printed_show,
    show_with_parcels,
    work,
)

pytestmark = pytest.mark.usefixtures("engine")
NAMES = ["packing-slips-001-003.pdf", "labels-4x6-001-003.pdf", "labels-a6-001-003.pdf"]


@pytest.fixture
def job(show):
    """Printing ended with three parcels to number."""
    return end(printed_show(show, orders=3))


def numbering():
    """Every copy's parcel number: what must not change any more."""
    return list(ParcelCopy.objects.order_by("copy__number").values_list("copy__number", "parcel__number"))


def test_the_job_numbers_every_copy_once_and_keeps_three_papers(show, job):
    assert work(job) == "done"
    job.refresh_from_db()
    assert (job.state, job.done, job.total, job.attempts) == (Job.State.DONE, 3, 3, 0)
    assert job.lease_until_at is None
    assert job.finished_at is not None
    assert [number for number, _ in numbering()] == numbers_of(show)
    assert sorted(parcel for _, parcel in numbering()) == [1, 2, 3]
    assert list(Paper.objects.values_list("name", "pages")) == [(name, 3) for name in NAMES]
    assert all(bytes(paper.pdf).startswith(b"%PDF") for paper in Paper.objects.all())


def test_orders_of_one_person_share_a_parcel_and_other_addresses_do_not(show):
    same = {"name": "Erika Beispiel", "email": "erika@example.org"}
    order(show, **same, address=BERLIN_ADDRESS)
    order(show, **same | {"email": "Erika@Example.org"}, address=BERLIN_ADDRESS)
    order(show, **same, address=LONDON_ADDRESS)
    close(show)
    print_all(show)
    work(end(show))
    parcels = [(p.number, p.address["country_code"], p.mass_g) for p in Parcel.objects.all()]
    assert parcels == [(1, "DE", 360), (2, "GB", 180)]
    assert numbering() == [(1, 1), (2, 1), (3, 2)]


def test_a_finished_job_is_not_taken_again(show):
    job = show_with_parcels(show)
    before = numbering()
    assert work(job) == "taken"
    assert numbering() == before
    assert Paper.objects.count() == 3


def test_a_job_that_is_gone_is_a_clean_end(db):
    assert make_papers(job_pk=123, clock=lambda: LATER) == "taken"


def test_a_job_is_not_taken_while_another_worker_has_it(job):
    Job.objects.filter(pk=job.pk).update(state="running", lease_until_at=LATER + LEASE)
    assert list_due_jobs(now=LATER) == []
    assert work(job) == "taken"
    assert not Parcel.objects.exists()


def test_a_job_whose_worker_died_after_numbering_keeps_the_numbers(job):
    with pytest.raises(KeyboardInterrupt):
        make_papers(job_pk=job.pk, clock=clock(LATER, deadly=2))
    before = numbering()
    assert len(before) == 3
    assert not Paper.objects.exists()
    much_later = LATER + LEASE + timedelta(minutes=1)
    assert list_due_jobs(now=LATER) == []
    assert list_due_jobs(now=much_later) == [job.pk]
    assert work(job, now=much_later) == "done"
    assert numbering() == before


def test_a_worker_that_lost_its_lease_writes_nothing_more(job):
    def slow():
        # Read before each step; by the fourth time the papers are rendered and another worker has the job.
        readings.append(None)
        if len(readings) == 4:
            Job.objects.filter(pk=job.pk).update(lease_until_at=LATER + timedelta(hours=1))
        return LATER + timedelta(seconds=len(readings))

    readings = []
    assert make_papers(job_pk=job.pk, clock=slow) == "lost"
    assert not Paper.objects.exists()
    job.refresh_from_db()
    assert job.state == Job.State.RUNNING


def test_work_goes_on_where_it_stopped_chunk_by_chunk(job, monkeypatch):
    monkeypatch.setattr(papers, "CHUNK", 1)
    monkeypatch.setattr(paper_jobs, "CHUNKS_A_RUN", 2)
    assert work(job) == "paused"
    job.refresh_from_db()
    assert (job.state, job.done, job.total) == (Job.State.WAITING, 2, 3)
    first = dict(Paper.objects.values_list("name", "code"))
    assert len(first) == 6
    assert list_due_jobs(now=LATER) == [job.pk]
    assert work(job) == "done"
    job.refresh_from_db()
    assert job.done == 3
    assert first.items() <= dict(Paper.objects.values_list("name", "code")).items()
    assert Paper.objects.count() == 9


def test_a_passing_failure_is_tried_again_after_a_pause_and_told(job, engine):
    engine("broken")
    assert work(job) == "failed"
    job.refresh_from_db()
    assert (job.state, job.attempts) == (Job.State.WAITING, 1)
    assert job.error == "The paper engine stopped by itself (status 1); the log says more."
    assert list_due_jobs(now=LATER) == []
    engine("plain")
    assert work(job, now=LATER + timedelta(minutes=1)) == "done"
    job.refresh_from_db()
    assert job.error == ""


def test_a_failure_that_does_not_pass_stops_the_job_with_its_sentence(job, engine):
    engine("missing")
    work(job)
    job.refresh_from_db()
    assert job.state == Job.State.FAILED
    assert job.error.startswith("Papers need the pango library")
    assert list_due_jobs(now=LATER + timedelta(days=1)) == []


def test_after_several_failures_the_job_stops(job, engine):
    engine("broken")
    Job.objects.filter(pk=job.pk).update(attempts=MAX_ATTEMPTS - 2)
    assert [work(job, now=LATER + timedelta(hours=n)) for n in range(3)] == ["failed", "failed", "taken"]
    job.refresh_from_db()
    assert job.state == Job.State.FAILED


def test_a_job_whose_workers_die_every_time_is_given_up(job):
    Job.objects.filter(pk=job.pk).update(attempts=MAX_ATTEMPTS, state="running", lease_until_at=LATER)
    assert give_up_exhausted(now=LATER - timedelta(seconds=1)) == 0
    assert give_up_exhausted(now=LATER + timedelta(seconds=1)) == 1
    job.refresh_from_db()
    assert job.state == Job.State.FAILED
    assert "interrupted several times" in job.error


def test_a_stopped_job_can_be_tried_again(job, engine):
    engine("missing")
    work(job)
    before = numbering()
    retry_papers(job=job, now=LATER)
    retry_papers(job=job, now=LATER)  # a second click changes nothing
    engine("plain")
    assert work(job) == "done"
    assert numbering() == before
    with pytest.raises(NotInThisState):
        retry_papers(job=job, now=LATER)


def test_every_kill_point_leaves_the_same_numbers_and_papers(show, monkeypatch):
    """A worker dies at each of its clock readings in turn; the last one finishes with the same result."""
    monkeypatch.setattr(papers, "CHUNK", 2)
    job = end(printed_show(show, orders=3))
    seen = set()
    for deadly in range(7):
        with contextlib.suppress(KeyboardInterrupt):
            make_papers(job_pk=job.pk, clock=clock(LATER + timedelta(hours=deadly), deadly=deadly))
        if numbering():
            seen.add(tuple(numbering()))
        Job.objects.filter(pk=job.pk).update(attempts=0)
    assert work(job, now=LATER + timedelta(days=1)) in ("done", "taken")
    assert len(seen) == 1
    assert sorted(number for _, number in numbering()) == [1, 2, 3]
    assert Paper.objects.count() == 6
    job.refresh_from_db()
    assert (job.state, job.done) == (Job.State.DONE, 3)


def clock(now, *, deadly):
    """A clock whose reading number `deadly` finds its worker dead."""
    readings = itertools.count()

    def read():
        reading = next(readings)
        if reading == deadly:
            raise KeyboardInterrupt
        return now + timedelta(seconds=reading)

    return read


def test_papers_are_made_again_around_somebody_who_was_removed(show, job):
    """Another parcel of the same papers changes; the removed person's slip has no address, and nothing stops at it."""
    work(job)
    gone, kept, _ = job.parcels.all()
    Parcel.objects.filter(pk=gone.pk).update(name="", email="", address={})
    with transaction.atomic():
        papers.make_again([kept])
    assert work(job, now=LATER + timedelta(hours=1)) == "done"
    assert Paper.objects.filter(job=job).count() == 3
    assert [one.number for one in choose_parcels(show, which="all")] == [2, 3]


def test_papers_made_again_stand_where_their_parcels_do(show, job, monkeypatch):
    monkeypatch.setattr(papers, "CHUNK", 1)
    work(job)
    with transaction.atomic():
        papers.make_again([job.parcels.first()])
    assert work(job, now=LATER + timedelta(hours=1)) == "done"
    newest = Paper.objects.filter(job=job).last()
    assert newest.title.endswith("parcel 1")
    assert [row.which for row in read_send(show).paper_rows] == ["parcel 1", "parcel 2", "parcel 3"]
