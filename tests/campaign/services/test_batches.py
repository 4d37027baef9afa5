"""A batch of mails is held back and goes on; nothing is lost, nothing goes twice."""

import uuid
from datetime import date, timedelta

import pytest

from campaign import outbox
from campaign.errors import NotInThisState, NotReady
from campaign.models import Job, OutboxMessage
from campaign.services import batches, updates
from campaign.services.late_notices import send_late_notice
from tests.builders import NOW, place

LATER = NOW + timedelta(minutes=2)
pytestmark = pytest.mark.django_db


@pytest.fixture
def batch(show):
    for _ in range(3):
        place(show, wants_updates=True)
    OutboxMessage.objects.all().delete()
    update = updates.write_update(show=show, update=None, title="News", body="Words.", now=NOW)
    return updates.send_update(update=update, now=NOW)


def states(job):
    return sorted(job.messages.values_list("state", flat=True))


def state(job):
    return Job.objects.get(pk=job.pk).state


def test_paused_mails_wait_and_go_on(batch):
    batches.follow_batches(now=LATER)
    assert [batches.pause_batch(job=batch) for _ in range(2)] == [3, 3]
    assert outbox.deliver_due(now=LATER) == 0
    assert batches.follow_batches(now=LATER) == 1 and state(batch) == "paused"
    assert [batches.resume_batch(job=batch) for _ in range(2)] == [3, 0]
    assert outbox.deliver_due(now=LATER) == 3
    assert batches.follow_batches(now=LATER) == 0 and state(batch) == "done"


def test_what_a_worker_has_in_hand_goes_out_and_what_it_gives_back_is_held_too(batch):
    batches.follow_batches(now=LATER)
    first, second = outbox.claim(now=LATER, limit=2)
    assert batches.pause_batch(job=batch) == 1
    assert states(batch) == ["paused", "sending", "sending"]
    OutboxMessage.objects.filter(pk=first.pk).update(state="sent", sent_at=LATER, lease_until_at=None)
    OutboxMessage.objects.filter(pk=second.pk).update(state="pending", lease_until_at=None)  # put off by the server
    batches.follow_batches(now=LATER)
    assert states(batch) == ["paused", "paused", "sent"]
    assert Job.objects.get(pk=batch.pk).done == 1


def test_a_paused_batch_at_rest_is_left_alone_until_it_goes_on(batch, django_assert_num_queries):
    batches.follow_batches(now=LATER)
    batches.pause_batch(job=batch)
    batches.follow_batches(now=LATER)
    with django_assert_num_queries(1):  # and no lock, every two seconds for days
        assert batches.follow_batches(now=LATER) == 1
    OutboxMessage.objects.filter(state="paused").update(state="dropped")
    assert batches.follow_batches(now=LATER) == 0
    assert state(batch) == "done"


def test_a_batch_that_has_not_begun_or_is_over_is_not_paused(batch):
    for act in (batches.pause_batch, batches.resume_batch):
        with pytest.raises(NotInThisState) as refusal:
            act(job=batch)
        assert "waiting" in refusal.value.sentence
    batches.follow_batches(now=LATER)
    outbox.deliver_due(now=LATER)
    batches.follow_batches(now=LATER)
    with pytest.raises(NotInThisState) as refusal:
        batches.pause_batch(job=batch)
    assert "done" in refusal.value.sentence


def test_a_paused_batch_of_news_can_be_called_off(batch):
    batches.follow_batches(now=LATER)
    batches.pause_batch(job=batch)
    assert updates.call_off_batch(job=batch, now=LATER) == 3
    assert states(batch) == ["dropped"] * 3 and state(batch) == "cancelled"


def test_the_page_has_a_button_for_it(batch, show, ada_client):
    batches.follow_batches(now=LATER)
    url = f"/studio/{show.code}/jobs/{batch.code}/"
    assert "Pause" in ada_client.get(url).content.decode()
    answer = ada_client.post(f"{url}pause/", follow=True)
    page = answer.content.decode()
    assert "Paused: 3 mails held back." in page and "Go on" in page
    assert "Refresh" not in answer.headers
    page = ada_client.post(f"{url}pause/", {"go_on": "1"}, follow=True).content.decode()
    assert "It goes on: 3 mails to send." in page


def test_work_that_is_no_mail_is_not_paused(show):
    fields = {"kind": "papers", "key": "k", "title": "t", "state": "running", "starts_at": NOW, "created_at": NOW}
    job = Job.objects.create(show=show, **fields)
    with pytest.raises(NotInThisState):
        batches.pause_batch(job=job)


def test_who_resumes_while_the_sweep_looks_loses_no_mail(batch):
    """The sweep reads a job again under its lock, so what it read before somebody let it go on counts no more."""
    batches.follow_batches(now=LATER)
    batches.pause_batch(job=batch)
    seen = Job.objects.get(pk=batch.pk)
    assert seen.state == "paused"
    batches.resume_batch(job=batch)
    batches._follow(seen.pk, now=LATER)
    assert states(batch) == ["pending"] * 3 and state(batch) == "running"


def test_a_notice_of_late_posting_is_not_paused(show, ada_client):
    place(show)
    job = send_late_notice(show=show, request_key=uuid.uuid4(), new_on=date(2099, 1, 1), reason="Paper.", now=NOW)
    batches.follow_batches(now=LATER)
    with pytest.raises(NotReady, match="goes out whole"):
        batches.pause_batch(job=job)
    assert "Pause" not in ada_client.get(f"/studio/{show.code}/jobs/{job.code}/").content.decode()
