"""Whom an update reaches: its segment and nobody else, each address once, the unwilling and unreachable told apart."""

from datetime import timedelta

import pytest
from django.http import Http404

from campaign.access import get_pledge_by_news_token, get_waiter_by_news_token, make_list_news_token, make_news_token
from campaign.models import Bounce, OutboxMessage, Waiter
from campaign.outbox import deliver_due
from campaign.queries.audience import audience_of, list_destinations
from campaign.queries.basket import LineWish
from campaign.services import pledges, updates
from campaign.services.people import erase_person
from tests.builders import LONDON_ADDRESS, NOW, make_draft, pay, place


def write(show, **changes):
    fields = {"title": "Ink is here", "body": "The *ink* came.", "now": NOW} | changes
    return updates.write_update(show=show, update=None, **fields)


def reached(show, **changes):
    """Addresses that an update of this segment is really written to."""
    job = updates.send_update(update=write(show, **changes), now=NOW)
    recipients = [one.recipient for one in job.messages.all()]
    assert len(recipients) == len({one.casefold() for one in recipients}) == job.total
    return sorted(recipients)


def wait(show, email, **changes):
    fields = {"name": "Wanda", "asked_at": NOW, "edition": show.editions.get(code="harbour")} | changes
    return Waiter.objects.create(email=email, **fields)


def bounce(email, kind="hard"):
    return Bounce.objects.create(email=email, kind=kind, report_hash=f"{kind}:{email}", read_at=NOW)


@pytest.fixture
def crowd(show):
    """One of each kind of person who could be written to, and some twice."""
    pay(place(show, email="paid@example.org"))
    place(show, email="held@example.org")
    place(show, email="Held@example.org")
    place(show, email="held-no-news@example.org", wants_updates=False)
    pay(place(show, email="london@example.org", address=dict(LONDON_ADDRESS)))
    gift = LineWish("harbour", 1, recipient_name="Fred", address=dict(LONDON_ADDRESS))
    place(show, email="friend-in-london@example.org", lines=(gift,), copies=1)
    pay(place(show, email="giver@example.org", copies=0))
    pledges.cancel_pledge(pledge=place(show, email="gone@example.org"), by_backer=True, now=NOW)
    wait(show, "waits@example.org")
    wait(show, "offered@example.org", state="offered", offer_until_at=NOW + timedelta(days=1))
    wait(show, "left@example.org", state="left", ended_at=NOW)
    wait(show, "", state="left", ended_at=NOW)
    return show


def test_all_is_everybody_with_a_live_order_who_asked_and_no_waiter(crowd):
    assert reached(crowd) == [
        "friend-in-london@example.org", "giver@example.org", "held@example.org", "london@example.org",
        "paid@example.org",
    ]  # fmt: skip


def test_unpaid_is_those_of_them_whose_order_waits_for_payment(crowd):
    assert reached(crowd, segment="unpaid") == ["friend-in-london@example.org", "held@example.org"]
    assert audience_of(write(crowd, segment="unpaid")).never_asked == 1


def test_country_is_where_something_is_posted_to_the_backer_or_a_friend(crowd):
    assert list_destinations(crowd) == (("DE", "Germany"), ("GB", "United Kingdom"))
    assert reached(crowd, segment="country", country="GB") == ["friend-in-london@example.org", "london@example.org"]
    assert reached(crowd, segment="country", country="DE") == ["held@example.org", "paid@example.org"]
    assert reached(crowd, segment="country", country="FR") == []


def test_waiting_is_the_list_as_it_lives_now_and_no_order(crowd):
    small = crowd.editions.get(code="harbour")
    small.pk, small.code = None, "second"
    small.save()
    wait(crowd, "Waits@example.org", edition=small)
    assert reached(crowd, segment="waiting") == ["offered@example.org", "waits@example.org"]


def test_another_show_is_another_crowd(crowd):
    other = make_draft(code="other", state="open")
    wait(other, "elsewhere@example.org")
    place(other, email="other@example.org")
    assert reached(other) == ["other@example.org"]
    assert reached(other, segment="waiting") == ["elsewhere@example.org"]


def test_who_is_left_out_is_counted_once_with_the_reason(show):
    for email in ("yes@example.org", "stopped@example.org", "back@example.org", "full@example.org"):
        place(show, email=email)
    place(show, email="no@example.org", wants_updates=False)
    place(show, email="YES@example.org", wants_updates=False)
    for email in ("stopped@example.org", "back@example.org", "no@example.org"):
        bounce(email)
    bounce("full@example.org", kind="soft")
    updates.stop_news(pledge=show.pledges.get(email="stopped@example.org"), now=NOW)
    audience = audience_of(write(show))
    assert sorted(reader.email for reader in audience.readers) == ["full@example.org", "yes@example.org"]
    assert (audience.never_asked, audience.stopped, audience.returned, audience.left_out) == (1, 1, 1, 3)


def test_who_orders_twice_and_asks_once_is_a_reader(show):
    place(show, email="mary@example.org", wants_updates=False)
    place(show, email="Mary@example.org")
    audience = audience_of(write(show))
    assert ([reader.email for reader in audience.readers], audience.left_out) == (["Mary@example.org"], 0)


@pytest.mark.parametrize("undo", ["stop", "bounce"])
def test_what_happens_after_the_batch_was_written_counts_at_sending(show, undo, settings, tmp_path):
    settings.EMAIL_BACKEND, settings.EMAIL_FILE_PATH = "django.core.mail.backends.filebased.EmailBackend", str(tmp_path)
    goes, stays = place(show, email="goes@example.org"), place(show, email="stays@example.org")
    job = updates.send_update(update=write(show), now=NOW)
    if undo == "stop":
        updates.stop_news(pledge=goes, now=NOW)
    else:
        bounce("GOES@example.org")
    while deliver_due(now=NOW + updates.GRACE):
        pass
    states = dict(job.messages.values_list("recipient", "state"))
    assert states == {goes.email: "dropped", stays.email: "sent"}
    # Mail about one's own order is still tried.
    assert OutboxMessage.objects.get(name="pledge_placed", recipient=goes.email).state == "sent"


def test_a_waiter_ends_the_news_and_keeps_the_place(show):
    waiter = wait(show, "waits@example.org")
    for _ in range(2):
        updates.stop_list_news(waiter=waiter, now=NOW)
    waiter.refresh_from_db()
    assert waiter.state == "waiting" and show.suppressions.get().email == "waits@example.org"
    assert reached(show, segment="waiting") == []


def test_the_link_of_an_order_opens_no_place_on_a_list_nor_the_reverse(show):
    pledge, waiter = place(show), wait(show, "waits@example.org")
    assert get_waiter_by_news_token(make_list_news_token(waiter)) == waiter
    with pytest.raises(Http404):
        get_waiter_by_news_token(make_news_token(pledge))
    with pytest.raises(Http404):
        get_pledge_by_news_token(make_list_news_token(waiter))


def test_an_erased_order_has_no_address_to_stop(show):
    pledge = pledges.cancel_pledge(pledge=place(show, email="gone@example.org"), by_backer=True, now=NOW)
    erase_person(email="gone@example.org", reason="asked", now=NOW)
    pledge.refresh_from_db()
    updates.stop_news(pledge=pledge, now=NOW)
    assert not show.suppressions.exists()


def test_waiters_read_that_it_is_about_their_list(show):
    wait(show, "waits@example.org")
    updates.send_update(update=write(show, segment="waiting"), now=NOW)
    message = OutboxMessage.objects.get(name="update_news")
    for part in (message.text, message.html):
        assert "waiting list for “Harbour light”" in part
        assert "Your place on the list stays" in part
        assert "/u/list/" in part and "your own order" not in part


def test_short_links_become_whole_where_they_are_read_elsewhere(show):
    place(show)
    update = write(show, body="[How it stands](/show/tideline/)")
    updates.send_update(update=update, now=NOW)
    html = OutboxMessage.objects.get(name="update_news").html
    assert 'href="http://127.0.0.1:8000/show/tideline/"' in html


def test_a_hundred_letters_of_a_title_fit_the_name_of_the_batch(show):
    for _ in range(11):
        place(show, copies=0)
    job = updates.send_update(update=write(show, title="x" * 140), now=NOW)
    assert len(job.title) <= 160 and job.title.endswith("…” to 11 people")
