"""An update that goes out by itself: at its moment, late if nobody was at work, once, and never against the artist."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from campaign.errors import NotInThisState, NotReady
from campaign.forms.updates import SendAtForm
from campaign.models import Job, OutboxMessage, Show, Update
from campaign.services import updates
from campaign.tasks import sweep
from tests.builders import NOW, place

MOMENT = NOW + timedelta(hours=6)


@pytest.fixture
def update(show):
    place(show, email="one@example.org")
    return updates.write_update(show=show, update=None, title="Ink is here", body="The *ink* came.", now=NOW)


@pytest.fixture
def timed(update):
    return updates.set_send_at(update=update, send_at=MOMENT, now=NOW)


def sent():
    return OutboxMessage.objects.filter(name="update_news")


def test_it_goes_out_at_its_moment_without_a_minute_of_grace_and_once(timed):
    assert updates.send_due_updates(now=MOMENT - timedelta(seconds=1)) == 0
    assert not sent().exists()
    assert updates.send_due_updates(now=MOMENT) == 1
    assert updates.send_due_updates(now=MOMENT) == 0
    timed.refresh_from_db()
    assert timed.published_at == MOMENT and sent().get().due_at == MOMENT


def test_a_moment_nobody_was_at_work_for_is_made_up_for_once(timed):
    late = MOMENT + timedelta(days=3)
    assert updates.send_due_updates(now=late) == 1
    assert updates.send_due_updates(now=late + timedelta(days=1)) == 0
    timed.refresh_from_db()
    assert timed.published_at == late and sent().count() == 1


def test_it_goes_out_as_it_stands_then_and_to_whoever_belongs_to_it_then(show, timed):
    updates.write_update(
        show=show, update=timed, title="Ink", body="It came *today*.", segment="unpaid", is_on_page=False, now=NOW
    )
    place(show, email="late@example.org")
    updates.send_due_updates(now=MOMENT)
    assert sorted(one.recipient for one in sent()) == ["late@example.org", "one@example.org"]
    assert all("It came *today*." in one.text for one in sent())
    timed.refresh_from_db()
    assert (timed.segment, timed.is_on_page, timed.send_at) == ("unpaid", False, MOMENT)


def test_it_can_be_put_off(timed):
    later = MOMENT + timedelta(days=1)
    updates.set_send_at(update=timed, send_at=later, now=NOW)
    assert updates.send_due_updates(now=MOMENT) == 0
    assert updates.send_due_updates(now=later) == 1


def test_it_can_be_called_off_until_then(timed):
    assert updates.forget_send_at(update=timed, now=NOW)
    assert not updates.forget_send_at(update=timed, now=NOW)
    assert updates.send_due_updates(now=MOMENT) == 0
    assert not Job.objects.exists()


def test_once_it_is_out_there_is_no_moment_left_to_call_off_or_set(timed):
    updates.send_due_updates(now=MOMENT)
    assert not updates.forget_send_at(update=timed, now=MOMENT)
    with pytest.raises(NotInThisState):
        updates.set_send_at(update=timed, send_at=MOMENT + timedelta(days=1), now=MOMENT)


def test_a_batch_that_was_called_off_does_not_begin_again_by_itself(timed):
    updates.send_due_updates(now=MOMENT)
    updates.call_off_batch(job=Job.objects.get(), now=MOMENT)
    assert updates.send_due_updates(now=MOMENT + timedelta(minutes=1)) == 0
    assert Update.objects.get().send_at is None


def test_sent_by_hand_before_its_moment_it_does_not_go_again(timed):
    updates.send_update(update=timed, now=NOW)
    assert updates.send_due_updates(now=MOMENT) == 0
    assert sent().count() == 1


@pytest.mark.parametrize("send_at", [NOW, NOW - timedelta(minutes=1)])
def test_a_moment_that_has_passed_is_refused_with_the_time_it_is(update, send_at):
    with pytest.raises(NotReady, match=r"10 March 2026, 1\d:\d\d has passed; it is 10 March 2026, 13:00 at the show"):
        updates.set_send_at(update=update, send_at=send_at, now=NOW)
    update.refresh_from_db()
    assert update.send_at is None


def test_an_update_without_words_gets_no_moment(show):
    empty = updates.write_update(show=show, update=None, title="x", body=" ", now=NOW)
    with pytest.raises(NotReady, match="few words"):
        updates.set_send_at(update=empty, send_at=MOMENT, now=NOW)


@pytest.mark.parametrize("change", ["put off", "called off"])
def test_put_off_while_the_letters_are_rendered_nothing_goes(timed, monkeypatch, change):
    write = updates._send

    def meanwhile(**parts):
        if change == "put off":
            updates.set_send_at(update=timed, send_at=MOMENT + timedelta(days=1), now=NOW)
        else:
            updates.forget_send_at(update=timed, now=NOW)
        return write(**parts)

    monkeypatch.setattr(updates, "_send", meanwhile)
    assert updates.send_due_updates(now=MOMENT) == 0
    assert not sent().exists() and Update.objects.get().batch is None


def test_one_that_cannot_go_does_not_keep_the_others(show, timed):
    Update.objects.filter(pk=timed.pk).update(body="")
    other = updates.write_update(show=show, update=None, title="Other", body="Words.", now=NOW)
    updates.set_send_at(update=other, send_at=MOMENT, now=NOW)
    assert updates.send_due_updates(now=MOMENT) == 1
    assert sent().get().subject == "Other"


def test_the_sweep_sends_it(timed):
    Update.objects.filter(pk=timed.pk).update(send_at=datetime(2026, 3, 1, tzinfo=UTC))
    assert "updates sent 1" in sweep()
    assert "updates sent 0" in sweep()


def read(show, text):
    form = SendAtForm({"send_at": text}, show=show)
    return form.cleaned_data["send_at"] if form.is_valid() else form.errors["send_at"][0]


def test_the_clock_is_that_of_the_show_before_and_after_summer_time(show):
    assert read(show, "2026-03-28T12:00").astimezone(UTC) == datetime(2026, 3, 28, 11, tzinfo=UTC)
    assert read(show, "2026-03-29T12:00").astimezone(UTC) == datetime(2026, 3, 29, 10, tzinfo=UTC)
    show.time_zone = "America/New_York"
    assert read(show, "2026-03-28T12:00").astimezone(UTC) == datetime(2026, 3, 28, 16, tzinfo=UTC)


def test_an_hour_that_does_not_exist_is_refused_and_one_that_comes_twice_is_the_first(show):
    assert "leaves out" in read(show, "2026-03-29T02:30")
    twice = read(show, "2026-10-25T02:30")
    assert twice.astimezone(UTC) == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)  # still summer time


def test_a_show_that_moves_keeps_the_instant_not_the_hour(show, timed):
    Show.objects.update(time_zone="America/New_York")
    timed.refresh_from_db()
    assert timed.send_at == MOMENT
    assert timed.send_at.astimezone(ZoneInfo("America/New_York")).hour == 14
