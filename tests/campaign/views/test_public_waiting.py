"""Asking for a place in a waiting list, the place's own page behind its link, and ordering what is kept."""

import re

import pytest
import time_machine

from campaign.access import make_place_token
from campaign.models import Copy, Edition, OutboxMessage, Pledge, Show, Waiter
from campaign.services.calling_off import call_off_show
from campaign.services.pledges import cancel_pledge
from campaign.services.waiting import end_places, lapse_offers
from tests.builders import NOW, make_draft, place, wait
from tests.campaign.views.order_flow import ORDER, hidden

URL = "/show/tideline/waiting/harbour/"
WHO = {"name": "Mary Sample", "email": "mary@example.org", "copies": "1"}


@pytest.fixture
def clock():
    with time_machine.travel(NOW, tick=False) as traveller:
        yield traveller


@pytest.fixture
def full(clock, db):
    show = make_draft(state="open", copies=2)
    show.orders = [place(show), place(show)]
    return show


def ask(client, clock, **changes):
    fields = hidden(client.get(URL))
    clock.shift(30)
    return client.post(URL, WHO | fields | changes)


def back(full, number=0):
    cancel_pledge(pledge=full.orders[number], by_backer=False, now=NOW)


def opened(client, waiter):
    client.get(f"/w/{make_place_token(waiter)}/")
    return f"/waiting/{waiter.code}/"


def test_the_page_and_the_order_form_offer_a_place_when_none_is_free(client, full):
    wait(full)
    page = client.get("/show/tideline/").content.decode()
    assert URL in page and "one person waits for them" in page
    assert URL in client.get("/show/tideline/order/").content.decode()


def test_nothing_is_offered_while_a_copy_is_free(client, full):
    back(full)
    assert URL not in client.get("/show/tideline/").content.decode()
    page = client.get(URL).content.decode()
    assert "There is no need to wait: 1 of 2 copies is free." in page and "<textarea" not in page
    assert 'name="email"' not in page


def test_a_place_is_taken_and_a_mail_goes_out(client, clock, full):
    answer = ask(client, clock, copies="2")
    assert "A mail with your place in line is on its way" in answer.content.decode()
    waiter = Waiter.objects.get()
    assert (waiter.name, waiter.email, waiter.copies, waiter.state) == ("Mary Sample", "mary@example.org", 2, "waiting")
    assert OutboxMessage.objects.get(name="waiting_noted").recipient == "mary@example.org"


def test_the_answer_is_the_same_for_an_address_that_waits_or_has_ordered(client, clock, full):
    first = ask(client, clock).content
    again = ask(client, clock).content
    ordered = ask(client, clock, email=full.orders[0].email).content
    assert first == again == ordered
    assert Waiter.objects.filter(email="mary@example.org").count() == 1


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"name": ""}, "A name is needed"),
        ({"email": ""}, "An e-mail address is needed"),
        ({"email": "mary"}, "This is not an e-mail address"),
        ({"copies": ""}, "Choose how many copies."),
        ({"copies": "4"}, "One person may not have that many"),
        ({"copies": "x"}, "One person may not have that many"),
        ({"website": "http://x"}, "One field must stay empty"),
        ({"opened": "forged"}, "faster than anybody types"),
    ],
)
def test_bad_input_gets_a_sentence_and_no_place(client, clock, full, changes, words):
    assert words in ask(client, clock, **changes).content.decode()
    assert not Waiter.objects.exists()


def test_an_empty_submit_is_a_submit(client, full):
    assert "A name is needed" in client.post(URL, {}).content.decode()


def test_too_many_from_one_network_are_asked_to_come_back(client, clock, full, settings):
    settings.ORDERS_PER_HOUR = 1
    ask(client, clock)
    answer = ask(client, clock, email="other@example.org")
    assert answer.status_code == 429 and "Retry-After" in answer.headers
    assert Waiter.objects.count() == 1


def test_a_copy_that_comes_back_meanwhile_is_said(client, clock, full):
    fields = hidden(client.get(URL))
    clock.shift(30)
    back(full)
    assert "There is no need to wait" in client.post(URL, WHO | fields).content.decode()
    assert not Waiter.objects.exists()


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda show: Show.objects.update(state="closed", closed_at=NOW), "The campaign is closed"),
        (lambda show: Edition.objects.update(sold_until_at=NOW), "could be ordered until"),
        (lambda show: Edition.objects.update(sold_from_at=show.closes_at), "can be ordered from"),
        (lambda show: call_off_show(show=show, words="No.", now=NOW), "The show is called off"),
    ],
)
def test_there_is_no_list_when_the_print_is_not_sold(client, full, spoil, words):
    spoil(full)
    assert words in client.get(URL).content.decode()
    client.post(URL, WHO)
    assert not Waiter.objects.exists()


def test_a_draft_or_an_unknown_print_has_no_list(client, full):
    assert client.get("/show/tideline/waiting/other/").status_code == 404
    assert client.get("/show/tideline/waiting/a%00b/").status_code == 404
    Show.objects.update(state="draft")
    assert client.get(URL).status_code == 404


def test_wrong_methods_are_refused(client, full):
    page = opened(client, wait(full))
    assert client.put(URL).status_code == 405
    assert client.post(page).status_code == 405
    assert client.get(f"{page}again/").status_code == 405
    assert client.delete(f"{page}leave/").status_code == 405


@pytest.mark.parametrize("path", ["", "order/", "leave/"])
def test_a_place_opens_by_its_link_only(client, full, path):
    first, second = wait(full), wait(full)
    assert client.get(f"/waiting/{first.code}/{path}").status_code == 403
    opened(client, second)
    assert client.get(f"/waiting/{first.code}/{path}").status_code == 403
    assert client.get(f"/waiting/NOSUCHPLACE/{path}").status_code == 403
    assert client.post(f"/waiting/{first.code}/again/").status_code == 403


def test_a_forged_link_and_one_of_an_erased_person_open_nothing(client, full):
    waiter = wait(full)
    token = make_place_token(waiter)
    assert client.get(f"/w/{token[:-2]}xx/").status_code == 404
    page = opened(client, waiter)
    Waiter.objects.update(email="", name="")
    assert client.get(f"/w/{token}/").status_code == 404
    assert client.get(page).status_code == 403


def test_the_visit_ends_after_half_an_hour(client, clock, full):
    page = opened(client, wait(full))
    assert client.get(page).status_code == 200
    clock.shift(1801)
    assert client.get(page).status_code == 403


def test_the_place_is_said_as_it_is_and_nothing_is_cached(client, full):
    wait(full, copies=3)
    waiter = wait(full)
    answer = client.get(opened(client, waiter))
    page = answer.content.decode()
    assert "You are number 2 in line." in page
    assert "one person, who waits for three copies" in page
    assert "two copies are ordered and not paid yet" in page
    assert "no-store" in answer.headers["Cache-Control"]
    Waiter.objects.filter(pk__lt=waiter.pk).delete()
    assert "You are the first in line." in client.get(f"/waiting/{waiter.code}/").content.decode()


def test_looking_at_the_page_that_asks_changes_nothing(client, full):
    waiter = wait(full)
    page = opened(client, waiter)
    assert "Leave the waiting list for" in client.get(f"{page}leave/").content.decode()
    assert Waiter.objects.get().state == "waiting"
    answer = client.post(f"{page}leave/", follow=True).content.decode()
    assert "You are off the waiting list." in answer and "You wait no longer." in answer
    again = client.post(f"{page}leave/", follow=True).content.decode()
    assert "You are off the waiting list." not in again
    assert "You are not on the list any more." in client.get(f"{page}leave/").content.decode()


def test_what_is_kept_is_ordered_with_the_ordinary_form(client, clock, full):
    waiter = wait(full, copies=2, email="mary@example.org")
    back(full, 0)
    back(full, 1)
    Waiter.objects.filter(pk=waiter.pk).update(name="Mary Sample")
    page = opened(client, waiter)
    assert "copy is kept for you</span> until" in client.get(page).content.decode()
    Copy.objects.filter(number=2).update(state="offered", waiter=waiter)
    form = client.get(f"{page}order/?country=DE")
    words = form.content.decode()
    assert "2 copies of “Harbour light” are kept for you until 12 March 2026, 13:00" in words
    assert re.search(r'value="2"[^>]*checked', words) and 'value="Mary Sample"' in words
    clock.shift(30)
    fields = hidden(form)
    url = f"{page}order/?country=DE"
    sent = ORDER | {"copies_harbour": "2"} | fields
    checked = client.post(url, sent | {"step": "check"})
    agreed = hidden(checked)["agreed_total_minor"]
    done = client.post(url, sent | {"step": "place", "agreed_total_minor": agreed})
    assert done.status_code == 302 and done.url.startswith("/my/")
    waiter.refresh_from_db()
    assert waiter.state == "taken" and waiter.pledge.copies == 2
    again = client.post(url, sent | {"step": "place", "agreed_total_minor": agreed}, follow=True)
    assert "Nothing was ordered twice" in again.content.decode()
    assert Pledge.objects.count() == 3
    assert "You have ordered what was kept for you." in client.get(page).content.decode()


def test_what_is_not_kept_any_more_leads_back_to_the_place(client, clock, full):
    waiter = wait(full)
    page = opened(client, waiter)
    assert client.get(f"{page}order/").url == page
    back(full)
    form = client.get(f"{page}order/?country=DE")
    assert form.status_code == 200
    lapse_offers(now=Waiter.objects.get().offer_until_at)
    answer = client.post(f"{page}order/?country=DE", ORDER | hidden(form) | {"step": "place"})
    assert answer.url == page
    assert Pledge.objects.count() == 2


def test_who_let_it_pass_goes_back_to_the_end(client, clock, full):
    first, second = wait(full), wait(full)
    back(full)
    lapse_offers(now=NOW.replace(month=3, day=13))
    page = opened(client, first)
    words = client.get(page).content.decode()
    assert "It was kept for you until 12 March 2026" in words and "Back to the end of the line" in words
    answer = client.post(f"{page}again/", follow=True)
    assert "You are at the end of the line again" in answer.content.decode()
    assert answer.redirect_chain[-1][0] != page
    client.get(f"/w/{make_place_token(first)}/")
    client.post(f"{page}again/")
    assert Waiter.objects.filter(state="waiting").count() == 1
    second.refresh_from_db()
    assert second.state == "offered"


def test_asking_again_when_a_copy_is_free_is_refused_in_words(client, clock, full):
    waiter = wait(full)
    back(full)
    lapse_offers(now=NOW.replace(day=13))
    page = opened(client, waiter)
    assert "There is no need to wait" in client.post(f"{page}again/", follow=True).content.decode()
    assert Waiter.objects.count() == 1


def test_after_the_close_the_place_says_so(client, clock, full):
    waiter = wait(full)
    page = opened(client, waiter)
    Show.objects.update(state="closed", closed_at=NOW)
    assert "The orders have closed." in client.get(page).content.decode()
    end_places(now=NOW)
    words = client.get(page).content.decode()
    assert "You wait no longer." in words and "again/" not in words


def test_an_address_with_a_place_can_have_its_link_again(client, clock, full):
    from campaign.services.links import answer_link_requests

    wait(full, email="mary@example.org")
    fields = hidden(client.get("/show/tideline/send-link/"))
    clock.shift(3600)
    client.post("/show/tideline/send-link/", fields | {"email": "Mary@example.org"})
    assert answer_link_requests(now=NOW.replace(hour=14)) == 1
    assert OutboxMessage.objects.filter(name="waiting_noted").count() == 2


def test_who_comes_too_late_for_the_last_copy_is_shown_the_list(client, clock, full):
    back(full)
    form = client.get("/show/tideline/order/?country=DE")
    clock.shift(30)
    sent = ORDER | hidden(form)
    agreed = hidden(client.post("/show/tideline/order/?country=DE", sent | {"step": "check"}))["agreed_total_minor"]
    place(full)
    sent |= {"step": "place", "agreed_total_minor": agreed}
    words = client.post("/show/tideline/order/?country=DE", sent).content.decode()
    assert URL in words
