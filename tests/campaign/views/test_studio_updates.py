"""Updates in the studio: whom one is for, who gets it and who does not, its own moment, and mail that comes back."""

from datetime import UTC, datetime, timedelta

import pytest
from django.urls import reverse

from campaign.models import Bounce, OutboxMessage, Update, Waiter
from campaign.services import updates
from tests.builders import LONDON_ADDRESS, NOW, place
from tests.campaign.views.studio_forms import filled, words_of

pytestmark = pytest.mark.usefixtures("clock")


@pytest.fixture
def update(show):
    return updates.write_update(show=show, update=None, title="Ink is here", body="The *ink* came.", now=NOW)


def url(name, *codes):
    return reverse(f"campaign:{name}", args=["tideline", *codes])


def keep(client, **typed):
    data = {"title": "Proofs", "body": "Dry.", "segment": "all", "is_on_page": "on", "save": "1"} | typed
    return client.post(url("new_update"), data, follow=True)


def test_an_update_may_be_for_one_country_and_by_mail_only(ada_client, show):
    place(show, address=dict(LONDON_ADDRESS))
    assert b"United Kingdom" in ada_client.get(url("new_update")).content
    keep(ada_client, segment="country", country="GB", is_on_page="")
    update = Update.objects.get()
    assert (update.segment, update.country, update.is_on_page) == ("country", "GB", False)
    page = ada_client.get(url("update_sheet", update.code)).content.decode()
    assert "goes to the United Kingdom" in page and "it goes by mail only" in page
    listed = ada_client.get(url("updates")).content.decode()
    assert "United Kingdom, by mail only" in listed


@pytest.mark.parametrize(
    ("typed", "complaint"),
    [
        ({"segment": "country"}, "Choose the country."),
        ({"segment": "country", "country": "FR"}, "Select a valid choice"),
        ({"segment": "everyone"}, "Select a valid choice"),
    ],
)
def test_a_segment_that_says_nothing_is_said_at_its_field(ada_client, show, typed, complaint):
    place(show)
    assert complaint in keep(ada_client, **typed).content.decode()
    assert not Update.objects.exists()


def test_a_country_nothing_goes_to_yet_is_said(ada_client, show):
    assert "No print goes anywhere yet." in keep(ada_client, segment="country").content.decode()


def test_a_country_stays_chosen_though_its_only_order_ended(ada_client, show):
    update = updates.write_update(show=show, update=None, title="T", body="B", segment="country", country="GB", now=NOW)
    page = ada_client.get(url("update_sheet", update.code))
    assert filled(page)["country"] == "GB"
    ada_client.post(url("update_sheet", update.code), filled(page, title="T2", save="1"))
    update.refresh_from_db()
    assert (update.title, update.country) == ("T2", "GB")


def test_before_sending_stands_who_gets_it_and_who_does_not_and_why(ada_client, show, update):
    for email in ("yes@example.org", "also@example.org", "stopped@example.org", "back@example.org"):
        place(show, email=email, copies=0)
    place(show, email="never@example.org", copies=0, wants_updates=False)
    updates.stop_news(pledge=show.pledges.get(email="stopped@example.org"), now=NOW)
    Bounce.objects.create(email="back@example.org", kind="hard", report_hash="x", read_at=NOW)
    page = ada_client.get(url("send_update", update.code)).content.decode()
    for words in ("2 people, once at each address", "1 ordered without asking", "1 wants no more", "1 whose mail"):
        assert words in page
    assert "Send it to 2 people" in page


@pytest.mark.parametrize(
    ("segment", "caution"),
    [("unpaid", "The reminder to pay is about their own order"), ("waiting", "write about that")],
)
def test_what_a_segment_may_be_told_is_said(ada_client, show, segment, caution):
    update = updates.write_update(show=show, update=None, title="T", body="B", segment=segment, now=NOW)
    for name in ("update_sheet", "send_update"):
        assert caution in ada_client.get(url(name, update.code)).content.decode()


def test_an_update_goes_out_by_itself_and_can_be_put_off_and_called_off(ada_client, show, update):
    page = ada_client.get(url("send_update_at", update.code))
    answer = ada_client.post(url("send_update_at", update.code), {"send_at": "2026-03-29T18:00"}, follow=True)
    assert words_of(answer) == ["It goes out by itself on 29 March 2026, 18:00 CEST."]
    update.refresh_from_db()
    assert update.send_at == datetime(2026, 3, 29, 16, tzinfo=UTC)
    assert "2026-03-29T18:00" in ada_client.get(url("send_update", update.code)).content.decode()
    assert "goes out by itself" in ada_client.get(url("updates")).content.decode()
    assert page.status_code == 200
    sheet = ada_client.get(url("update_sheet", update.code))
    answer = ada_client.post(url("update_sheet", update.code), filled(sheet, body="Better.", save="1"), follow=True)
    assert words_of(answer) == ["Kept. It goes out as it stands now on 29 March 2026, 18:00 CEST."]
    for said in ("It does not go out by itself any more.", "There was no moment left to call off."):
        assert words_of(ada_client.post(url("not_by_itself", update.code), follow=True)) == [said]
    update.refresh_from_db()
    assert update.send_at is None


@pytest.mark.parametrize(
    ("typed", "complaint"),
    [
        ("2026-03-10T12:59", "has passed; it is 10 March 2026, 13:00 at the show"),
        ("2026-03-29T02:30", "leaves out"),
        ("tomorrow", "a day and a time"),
        ("", "This field is required"),
    ],
)
def test_a_moment_that_cannot_be_is_said_at_its_field(ada_client, show, update, typed, complaint):
    answer = ada_client.post(url("send_update_at", update.code), {"send_at": typed})
    assert complaint in answer.content.decode()
    update.refresh_from_db()
    assert update.send_at is None


def test_one_that_was_sent_gets_no_moment(ada_client, show, update):
    updates.send_update(update=update, now=NOW)
    answer = ada_client.post(url("send_update_at", update.code), {"send_at": "2026-03-29T18:00"})
    assert answer.status_code == 200 and b"It was sent already" in answer.content


def come_back(show, email, **changes):
    message = OutboxMessage.objects.get(recipient=email, name="pledge_placed")
    OutboxMessage.objects.filter(pk=message.pk).update(state="sent", sent_at=NOW)
    fields = {"kind": "hard", "status": "5.1.1", "words": "550 5.1.1 <b>no such user</b>"} | changes
    return Bounce.objects.create(email=email, message=message, report_hash=email, read_at=NOW, **fields)


def test_what_came_back_stands_at_the_order_and_among_the_mails(ada_client, show):
    pledge = place(show, name="Mary", email="mary@example.org")
    Waiter.objects.create(edition=show.editions.get(), name="Wanda", email="wanda@example.org", asked_at=NOW)
    Bounce.objects.create(email="wanda@example.org", kind="hard", report_hash="w", read_at=NOW)
    come_back(show, "mary@example.org")
    page = ada_client.get(url("pledge", pledge.code)).content.decode()
    assert "Mail to this address comes back: it does not exist." in page
    assert "&lt;b&gt;no such user" in page and "Correct the e-mail address" in page
    mails = ada_client.get(url("mails")).content.decode()
    assert "Mail that comes back" in mails and url("pledge", pledge.code) in mails and "came back" in mails
    assert "Wanda, on the waiting list" in mails


def test_a_passing_failure_is_told_without_alarm(ada_client, show):
    pledge = place(show, email="mary@example.org")
    come_back(show, "mary@example.org", kind="soft", status="4.2.2", words="")
    page = ada_client.get(url("pledge", pledge.code)).content.decode()
    assert "came back once: the mailbox is full" in page and "It works after all" not in page
    assert "Mail that comes back" not in ada_client.get(url("mails")).content.decode()


def test_the_artist_may_write_there_again(ada_client, show):
    pledge = place(show, email="mary@example.org")
    come_back(show, "mary@example.org")
    assert words_of(ada_client.post(url("write_news_again", pledge.code), follow=True)) == [
        "News goes to this address again."
    ]
    assert words_of(ada_client.post(url("write_news_again", pledge.code), follow=True)) == []
    assert Bounce.objects.get().kind == "soft"


def test_an_address_is_corrected_on_a_page_of_its_own(ada_client, show):
    pledge = place(show, email="mray@example.org")
    come_back(show, "mray@example.org")
    page = ada_client.get(reverse("fulfilment:correct_email", args=["tideline", pledge.code]))
    assert "it does not exist" in page.content.decode() and filled(page)["email"] == "mray@example.org"
    for typed, complaint in (("mary", "This is not an e-mail address"), ("", "required"), ("x" * 255, "254")):
        answer = ada_client.post(page.request["PATH_INFO"], {"email": typed})
        assert complaint in answer.content.decode()
    for said in ("Mail goes to mary@example.org from now on; one with a new private link is on its way.", "As it was."):
        answer = ada_client.post(page.request["PATH_INFO"], {"email": "mary@example.org"}, follow=True)
        assert words_of(answer) == [said]
    assert "comes back" not in answer.content.decode()


def test_an_address_with_copies_of_its_own_is_refused_at_the_field(ada_client, show):
    place(show, email="mary@example.org", copies=2)
    pledge = place(show, email="mray@example.org", copies=2)
    answer = ada_client.post(
        reverse("fulfilment:correct_email", args=["tideline", pledge.code]), {"email": "mary@example.org"}
    )
    assert "One person can have 3 of" in answer.content.decode()


def test_before_its_moment_nothing_of_it_is_public(ada_client, client, show, update):
    updates.set_send_at(update=update, send_at=NOW + timedelta(days=1), now=NOW)
    assert client.get(f"/show/tideline/updates/{update.code}/").status_code == 404
    assert b"Ink is here" not in client.get("/show/tideline/updates.atom").content
