"""News: frozen audience, one message an address, a minute to call it off, one click to want no more."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from campaign.errors import NotInThisState, NotReady
from campaign.models import Job, OutboxMessage, Update
from campaign.services import batches, pledges, updates
from tests.builders import NOW, place


@pytest.fixture
def update(show):
    return updates.write_update(show=show, update=None, title="Ink is here", body="The *ink* came.", now=NOW)


def test_news_goes_to_each_address_once_and_to_live_orders_that_asked(show, update):
    place(show, email="one@example.org")
    place(show, email="One@example.org")
    place(show, email="two@example.org")
    place(show, email="no@example.org", wants_updates=False)
    pledges.cancel_pledge(pledge=place(show, email="gone@example.org"), by_backer=True, now=NOW)
    job = updates.send_update(update=update, now=NOW)
    news = OutboxMessage.objects.filter(batch=job)
    assert sorted(m.recipient.casefold() for m in news) == ["one@example.org", "two@example.org"]
    assert job.total == 2
    assert all(m.due_at == NOW + updates.GRACE for m in news)


def test_a_second_click_finds_the_same_batch(show, update):
    place(show)
    assert updates.send_update(update=update, now=NOW) == updates.send_update(update=update, now=NOW)
    assert OutboxMessage.objects.filter(name="update_news").count() == 1


def test_news_carries_one_click_unsubscribe(show, update):
    place(show)
    updates.send_update(update=update, now=NOW)
    headers = OutboxMessage.objects.get(name="update_news").headers
    assert headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert headers["List-Unsubscribe"].startswith("<http")


def test_news_is_markup_only_as_far_as_allowed(show):
    place(show)
    update = updates.write_update(
        show=show, update=None, title="x", body="<script>alert(1)</script> [a](javascript:alert(1)) *fine*", now=NOW
    )
    updates.send_update(update=update, now=NOW)
    html = OutboxMessage.objects.get(name="update_news").html
    assert "<script" not in html
    assert 'href="javascript' not in html
    assert "<em>fine</em>" in html


def test_who_stopped_news_gets_none(show, update):
    pledge = place(show)
    updates.stop_news(pledge=pledge, now=NOW)
    updates.stop_news(pledge=pledge, now=NOW)
    assert updates.send_update(update=update, now=NOW).total == 0


def test_a_batch_can_be_called_off_within_the_minute(show, update):
    place(show)
    job = updates.send_update(update=update, now=NOW)
    assert updates.call_off_batch(job=job, now=NOW) == 1
    assert updates.call_off_batch(job=job, now=NOW) == 0
    assert OutboxMessage.objects.get(batch=job).state == OutboxMessage.State.DROPPED


def test_progress_follows_the_messages(show, update):
    place(show)
    place(show)
    job = updates.send_update(update=update, now=NOW)
    assert batches.follow_batches(now=NOW) == 1
    first = OutboxMessage.objects.filter(batch=job).first()
    OutboxMessage.objects.filter(pk=first.pk).update(state="sent", sent_at=NOW)
    batches.follow_batches(now=NOW + timedelta(minutes=2))
    job.refresh_from_db()
    assert (job.state, job.done, job.total) == (Job.State.RUNNING, 1, 2)
    OutboxMessage.objects.filter(batch=job).update(state="sent", sent_at=NOW)
    assert batches.follow_batches(now=NOW) == 0
    job.refresh_from_db()
    assert job.state == Job.State.DONE


def test_a_sent_update_cannot_be_rewritten(show, update):
    updates.send_update(update=update, now=NOW)
    update.refresh_from_db()
    with pytest.raises(NotInThisState):
        updates.write_update(show=show, update=update, title="y", body="z", now=NOW)


def test_an_update_without_words_is_not_sent(show):
    empty = updates.write_update(show=show, update=None, title="x", body="  ", now=NOW)
    with pytest.raises(NotReady):
        updates.send_update(update=empty, now=NOW)
    assert Update.objects.get().published_at is None


def test_a_trial_goes_to_the_studio_alone(show, update):
    place(show)
    updates.try_update(update=update, now=NOW)
    trial = OutboxMessage.objects.get(name="update_news")
    assert trial.recipient == "studio@example.org"
    assert update.published_at is None


def test_letters_are_rendered_before_the_lock_and_written_together(show, update, monkeypatch):
    """However many want news: nobody's order waits while a thousand letters are rendered."""
    inside, rendered = [], updates.mail.render_markdown

    def watched(body, **how):
        inside.append(connection.in_atomic_block and len(connection.atomic_blocks))
        return rendered(body, **how)

    for number in range(60):
        place(show, email=f"backer{number}@example.org", copies=0)
    monkeypatch.setattr(updates.mail, "render_markdown", watched)
    outside = len(connection.atomic_blocks)  # the test's own
    with CaptureQueriesContext(connection) as queries:
        job = updates.send_update(update=update, now=NOW)
    assert inside[0] == outside
    assert job.total == OutboxMessage.objects.filter(batch=job, due_at=NOW + updates.GRACE).count() == 60
    assert len([one for one in queries if one["sql"].startswith("INSERT") and "outboxmessage" in one["sql"]]) == 2
    assert len(queries) < 30


@pytest.fixture
def meanwhile(monkeypatch):
    """Call it with what happens after the letters are rendered and before they are written."""

    def between(act):
        write = updates._send

        def acted(**parts):
            act()
            return write(**parts)

        monkeypatch.setattr(updates, "_send", acted)

    return between


def test_who_comes_or_goes_while_letters_are_rendered_is_counted(show, update, meanwhile):
    goes, stays = place(show, email="goes@example.org"), place(show, email="stays@example.org")

    def change():
        updates.stop_news(pledge=goes, now=NOW)
        place(show, email="comes@example.org")

    meanwhile(change)
    job = updates.send_update(update=update, now=NOW)
    assert {one.recipient for one in job.messages.all()} == {stays.email, "comes@example.org"}
    assert job.total == 2


def test_words_that_change_while_letters_are_rendered_are_not_sent(show, update, meanwhile):
    place(show)
    meanwhile(lambda: updates.write_update(show=show, update=update, title="Ink", body="Other words.", now=NOW))
    with pytest.raises(NotReady, match="changed at the same moment"):
        updates.send_update(update=update, now=NOW)
    assert not OutboxMessage.objects.filter(name="update_news").exists()
    assert Update.objects.get().batch is None


def test_an_update_called_off_half_way_reaches_the_rest_with_its_new_words(show, update):
    place(show, email="one@example.org")
    place(show, email="two@example.org")
    first = updates.send_update(update=update, now=NOW)
    OutboxMessage.objects.filter(recipient="one@example.org", batch=first).update(state="sent", sent_at=NOW)
    updates.call_off_batch(job=first, now=NOW)
    updates.write_update(show=show, update=Update.objects.get(), title="Ink", body="Better words.", now=NOW)
    second = updates.send_update(update=Update.objects.get(), now=NOW)
    (message,) = second.messages.all()
    assert (message.recipient, second.total) == ("two@example.org", 1)
    assert "Better words." in message.text
