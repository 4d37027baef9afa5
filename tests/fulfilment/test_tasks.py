from datetime import timedelta

import pytest
from django.utils import timezone

from campaign.models import Job, Paper
from fulfilment import tasks
from fulfilment.services.paper_jobs import INTERRUPTED, MAX_ATTEMPTS
from tests.fulfilment.scene import end, printed_show

pytestmark = pytest.mark.usefixtures("engine")


@pytest.fixture
def job(show):
    return end(printed_show(show, orders=2), now=timezone.now())


@pytest.fixture
def queue(settings):
    """The memory broker of this process, emptied; returns a function that reads what waits in it."""
    from config.celery import app

    def waiting():
        with app.connection_for_read() as connection:
            basket = connection.SimpleQueue("celery")
            found = []
            while True:
                try:
                    message = basket.get_nowait()
                except basket.Empty:
                    return found
                message.ack()
                found.append((message.headers["task"], message.payload[0]))

    waiting()
    return waiting


def test_the_sweep_hands_out_jobs_by_their_key_only(job, queue):
    assert tasks.sweep() == "handed out 1, stopped 0"
    assert queue() == [("fulfilment.make_papers", [job.pk])]


def test_the_task_does_the_job_and_a_second_delivery_does_nothing(job):
    assert tasks.make_papers(job.pk) == "done"
    assert tasks.make_papers(job.pk) == "taken"
    assert Paper.objects.count() == 3


def test_a_task_whose_row_is_gone_ends_cleanly(db):
    assert tasks.make_papers(987_654) == "taken"


def test_the_sweep_takes_up_a_job_whose_worker_died(job, queue):
    gone = timezone.now() - timedelta(minutes=1)
    Job.objects.filter(pk=job.pk).update(state="running", attempts=1, lease_until_at=gone)
    tasks.sweep()
    assert len(queue()) == 1


def test_the_sweep_stops_what_has_failed_too_often_and_hands_out_no_finished_job(job, queue):
    Job.objects.filter(pk=job.pk).update(attempts=MAX_ATTEMPTS)
    assert tasks.sweep() == "handed out 0, stopped 1"
    assert queue() == []
    job.refresh_from_db()
    assert job.error == INTERRUPTED
    Job.objects.filter(pk=job.pk).update(state="done", attempts=0)
    assert tasks.sweep() == "handed out 0, stopped 0"
