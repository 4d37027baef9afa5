"""Late posting through the pages: looked at and sent in the studio, answered on the page of the order; and Law."""

import re
from datetime import date

import pytest
from django.urls import reverse

from campaign.access import make_pledge_token
from campaign.models import Job, LateAnswer, LateNotice, OutboxMessage, Pledge, Show
from campaign.services.campaigns import close_campaign
from campaign.services.late_notices import answer_late_notice
from campaign.services.people import read_person
from tests.builders import BERLIN_ADDRESS, LONDON_ADDRESS, NOW, pay, place
from tests.late import BOSTON_ADDRESS, post, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def orders(show, clock):
    """One order each from the United States, Germany and the United Kingdom, paid; the day is 20 July."""
    placed = [place(show, address=dict(address)) for address in (BOSTON_ADDRESS, BERLIN_ADDRESS, LONDON_ADDRESS)]
    for pledge in placed:
        pay(pledge)
    clock.move_to("2026-07-20T10:00:00+00:00")
    return placed


@pytest.fixture
def page(show):
    return reverse("campaign:late_posting", args=[show.code])


def text_of(response):
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())


def form_of(client, page, **changes):
    """What the form would send, with the key that the page gave it."""
    key = re.search(r'name="request_key" value="([^"]+)"', client.get(page).content.decode()).group(1)
    return {"request_key": key, "has_day": "day", "new_on": "30 September 2026", "reason": "Damp paper."} | changes


def visit(client, pledge):
    client.get(f"/m/{make_pledge_token(pledge)}/")
    return client


def test_a_look_shows_each_kind_of_letter_and_sends_nothing(ada_client, orders, page):
    response = ada_client.post(page, {**form_of(ada_client, page), "preview": "1"})
    words = text_of(response)
    assert "1 order, United States: silence ends it with 30 August 2026" in words
    assert "1 order, European Union: silence ends nothing" in words
    assert "1 order, United Kingdom: silence ends nothing" in words
    assert "Damp paper." in words and "(the private link of the order)" in words and "/m/" not in words
    assert not LateNotice.objects.exists()
    assert not OutboxMessage.objects.filter(name="late_notice").exists()


def test_sending_leads_to_the_job_and_twice_is_once(ada_client, orders, page, show):
    form = {**form_of(ada_client, page), "send": "1"}
    first, second = ada_client.post(page, form), ada_client.post(page, form)
    job = Job.objects.get(kind="late")
    assert first.url == second.url == reverse("campaign:job", args=[show.code, job.code])
    assert LateNotice.objects.count() == 1
    assert "Call it off" in ada_client.get(first.url).content.decode()
    listed = text_of(ada_client.get(page))
    assert "Sent so far" in listed and "30 September 2026" in listed


def test_calling_off_within_the_minute_and_not_after(ada_client, orders, page, show, clock):
    ada_client.post(page, {**form_of(ada_client, page), "send": "1"})
    job = Job.objects.get(kind="late")
    off = reverse("campaign:call_off", args=[show.code, job.code])
    clock.shift(61)
    ada_client.post(off)
    assert LateNotice.objects.exists()
    clock.shift(-30)
    ada_client.post(off)
    assert not LateNotice.objects.exists()
    assert Show.objects.get().posting_by_on == date(2026, 7, 31)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"new_on": ""}, "Type the new day, or say that no day can be given."),
        ({"has_day": "none"}, "Leave the day empty, or say that there is one."),
        ({"new_on": "1 July 2026"}, "The new day is past already."),
        ({"reason": ""}, "This field is required."),
        ({"has_day": "none", "new_on": ""}, "Close the campaign first, or give a new day."),
    ],
    ids=["no day typed", "both", "past", "no reason", "still taking orders"],
)
def test_a_form_that_cannot_be_meant_is_refused_in_words(ada_client, orders, page, changes, words):
    response = ada_client.post(page, {**form_of(ada_client, page, **changes), "send": "1"})
    assert words in text_of(response)
    assert not LateNotice.objects.exists()


def test_the_page_of_an_order_asks_and_a_get_changes_nothing(client, orders, show):
    american, german, _ = orders
    send(show)
    words = text_of(visit(client, american).get(f"/my/{american.code}/"))
    assert "Your order is late" in words
    assert "If you say nothing, the order ends with 30 August 2026" in words
    assert "within seven working days" in words
    client.get(reverse("campaign:my_late", args=[american.code]))
    assert not LateAnswer.objects.exists()
    words = text_of(visit(client, german).get(f"/my/{german.code}/"))
    assert "If you say nothing, the order stays" in words and "within 14 days" in words


def test_waiting_then_cancelling_by_the_buttons(client, orders, show):
    pledge = orders[0]
    send(show)
    visit(client, pledge)
    path = reverse("campaign:my_late", args=[pledge.code])
    said = client.post(path, {"number": "1", "word": "wait"}, follow=True)
    assert "You said on 20 July 2026 that you will wait." in text_of(said)
    assert Pledge.objects.get(pk=pledge.pk).posting_by_on == date(2026, 8, 31)
    said = client.post(path, {"number": "1", "word": "cancel"}, follow=True)
    assert "The order is cancelled; a mail confirms it." in text_of(said)
    assert "Your order is late" not in text_of(said)
    assert Pledge.objects.get(pk=pledge.pk).state == "cancelled"


@pytest.mark.parametrize(
    "form", [{}, {"number": "1", "word": "perhaps"}, {"number": "x", "word": "wait"}, {"word": "wait"}]
)
def test_nonsense_is_no_answer(client, orders, show, form):
    send(show)
    visit(client, orders[0])
    assert client.post(reverse("campaign:my_late", args=[orders[0].code]), form).status_code == 302
    assert not LateAnswer.objects.exists()


def test_nobody_answers_for_somebody_else(client, orders, show):
    send(show)
    visit(client, orders[1])
    answer = client.post(reverse("campaign:my_late", args=[orders[0].code]), {"number": "1", "word": "cancel"})
    assert answer.status_code == 403
    assert not LateAnswer.objects.exists()


def test_an_order_that_is_on_its_way_says_so(client, orders, show):
    send(show)
    post(orders[0])
    words = text_of(visit(client, orders[0]).get(f"/my/{orders[0].code}/"))
    assert "It is on its way." in words and "I will wait" not in words


def test_after_the_notice_the_new_day_stands_everywhere(client, ada_client, orders, show):
    american = orders[0]
    send(show)
    assert "31 August 2026, made after the orders close" in text_of(client.get(f"/show/{show.code}/"))
    words = text_of(visit(client, american).get(f"/my/{american.code}/"))
    assert "31 August 2026; agreed was 31 July 2026" in words
    words = text_of(ada_client.get(reverse("campaign:pledge", args=[show.code, american.code])))
    assert "by 31 August 2026; no answer, ends with 30 August 2026" in words


def test_without_a_day_the_public_page_says_so(client, orders, show):
    close_campaign(show=show, now=NOW)
    show.refresh_from_db()
    send(show, new_on=None)
    assert "late; no new day can be given now" in text_of(client.get(f"/show/{show.code}/"))


def test_the_studio_is_warned_until_the_notice_is_sent(ada_client, orders, show, clock):
    pages = [reverse(name, args=[show.code]) for name in ("campaign:standing", "campaign:fund", "fulfilment:send")]
    for address in pages:
        assert "3 orders are to be posted by 31 July 2026" in text_of(ada_client.get(address))
    clock.move_to("2026-08-01T10:00:00+00:00")
    for address in pages:
        assert "3 orders still wait, and nobody has been told" in text_of(ada_client.get(address))
    send(show, new_on=date(2026, 12, 1))
    for address in pages:
        assert "nobody has been told" not in text_of(ada_client.get(address))


def test_payment_for_a_late_order_names_the_new_day(orders, show):
    late = place(show)
    send(show)
    pay(late)
    text = OutboxMessage.objects.get(key=f"payment_received:{late.code}").text
    assert "posted by 31 August 2026" in text


# the page Law


def test_law_has_the_dates_of_the_campaign_by_region(ada_client, orders, show):
    words = text_of(ada_client.get(reverse("campaign:law", args=[show.code])))
    assert "This is a checklist, not legal advice; check locally." in words
    assert "from memory" in words
    for part in (
        "10 March 2026. An order is complete once",
        "by 9 April 2026, thirty days on",  # 10 March and thirty days
        "to a new day up to 30 August 2026",
        "a right that arises today is paid by 29 July 2026",  # seven working days
        "told today, by 3 August 2026",  # fourteen days
        "3 days 3 August 2026 17 August 2026 17 August 2027",
        "30 days 30 August 2026 14 September 2026 13 September 2027",  # Sunday the 13th moves on
    ):
        assert part in words, part


def test_law_lists_only_regions_that_may_order_or_have(ada_client, show, clock):
    show.postage_rates.exclude(zone="Germany").delete()
    words = text_of(ada_client.get(reverse("campaign:law", args=[show.code])))
    assert "European Union" in words and "United Kingdom" not in words and "16 CFR Part 435" not in words
    place_abroad = Pledge.objects.filter(pk=_order_from_america(show).pk)
    assert place_abroad.exists()
    assert "16 CFR Part 435" in text_of(ada_client.get(reverse("campaign:law", args=[show.code])))


def _order_from_america(show):
    pledge = place(show)
    Pledge.objects.filter(pk=pledge.pk).update(address=BOSTON_ADDRESS)
    return pledge


def test_law_says_what_of_a_print_is_filled_or_missing(ada_client, show, clock):
    words = text_of(ada_client.get(reverse("campaign:law", args=[show.code])))
    assert "6 points missing" in words  # nothing is said in words yet
    show.editions.update(description="Signed and numbered in pencil.", proofs=2)
    words = text_of(ada_client.get(reverse("campaign:law", args=[show.code])))
    assert "nothing is missing that can be told from here" in words
    assert "22, numbered copies and proofs together" in words
    assert "do your words say it?" in words


def test_answers_are_handed_over_with_the_person(orders, show):
    send(show)
    answer_late_notice(pledge=orders[0], number=1, word="wait", now=NOW)
    found = read_person(orders[0].email)["orders"][0]["answers_to_late_notices"]
    assert [(one["notice_number"], one["word"]) for one in found] == [(1, "wait")]
