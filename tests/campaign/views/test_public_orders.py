"""Ordering a print and giving without one, through the pages and without a script."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from campaign.models import Copy, OutboxMessage, Pledge, PostageRate, Show, Studio
from tests.builders import NOW, make_draft, make_show, place
from tests.campaign.views.order_flow import URL, fetch, hidden, new_key, place_through_pages, send

pytestmark = pytest.mark.django_db


def test_order_through_the_pages_is_recorded_once_with_its_mail(client: Any, show: Show, clock: Any) -> None:
    response = place_through_pages(client, clock, gift="2,50", is_thanked_by_name="on")
    pledge = Pledge.objects.get()
    assert response.status_code == 302 and response.url == f"/my/{pledge.code}/"
    assert (pledge.copies, pledge.prints_minor, pledge.postage_minor, pledge.gift_minor) == (1, 4500, 490, 250)
    assert pledge.address["city"] == "Berlin" and "name" not in pledge.address
    assert pledge.is_thanked_by_name and not pledge.wants_updates
    assert Copy.objects.get(pledge=pledge).number == 1
    assert OutboxMessage.objects.get().name == "pledge_placed"


def test_confirmation_shows_all_that_a_transfer_needs(client: Any, show: Show, clock: Any) -> None:
    html = client.get(place_through_pages(client, clock).url).content.decode()
    pledge = Pledge.objects.get()
    for detail in ("DE89 3704 0044 0532 0130 00", "COBADEFFXXX", "€49.90", "Copy 1 of 20 is held for you"):
        assert detail in html
    assert pledge.reference[:4] in html and "20 March 2026" in html
    assert 'src="data:image/png;base64,' in html and 'alt="Code for a banking app' in html


@pytest.mark.parametrize(("way", "words"), [("cheque", "Payable to"), ("cash", "At the studio, Saturdays")])
def test_other_ways_of_paying_say_how(client: Any, show: Show, clock: Any, way: str, words: str) -> None:
    html = client.get(place_through_pages(client, clock, way=way).url).content.decode()
    assert words in html and "data:image/png" not in html


def test_currency_without_a_transfer_code_shows_none(client: Any, clock: Any) -> None:
    make_show(currency="GBP")
    html = client.get(place_through_pages(client, clock).url).content.decode()
    assert "data:image/png" not in html and "£49.90" in html


def test_gift_asks_for_no_address(client: Any, show: Show, clock: Any) -> None:
    assert "postal_code" not in client.get(URL + "?what=gift").content.decode()
    response = place_through_pages(client, clock, query="?what=gift")
    pledge = Pledge.objects.get()
    assert (pledge.copies, pledge.gift_minor, pledge.address) == (0, 2500, {})
    assert "Your gift is recorded" in client.get(response.url).content.decode()


def test_nothing_is_recorded_before_the_last_step(client: Any, show: Show, clock: Any) -> None:
    fields = fetch(client)
    html = send(client, step="check", fields=fields).content.decode()
    assert "Nothing is recorded yet." in html and "duty to pay €49.90" in html
    assert "31 July 2026" in html and "until the end of 8 April 2026" in html
    assert not Pledge.objects.exists()


def test_change_brings_the_form_back_with_its_values(client: Any, show: Show, clock: Any) -> None:
    html = send(client, step="change", fields=fetch(client), name="Mary O’Sample").content.decode()
    assert 'value="Mary O’Sample"' in html and 'id="id_city"' in html


def test_country_chooses_the_address_fields_and_the_postage(client: Any, show: Show, clock: Any) -> None:
    html = client.get(URL + "?country=GB").content.decode()
    assert "€8.90 postage" in html and 'autocomplete="postal-code"' in html
    html = client.get(URL + "?country=US").content.decode()
    assert "ZIP code" in html and "€16.90 postage" in html and 'autocomplete="address-level1"' in html


def test_unknown_country_falls_back_to_the_shows_own(client: Any, show: Show, clock: Any) -> None:
    html = client.get(URL + "?country=%3Cscript%3E").content.decode()
    assert '<option value="DE" selected>' in html and "<script>" not in html


def test_country_without_postage_cannot_be_chosen(client: Any, show: Show, clock: Any) -> None:
    PostageRate.objects.filter(countries="*").delete()
    html = client.get(URL + "?country=US").content.decode()
    assert '<option value="US"' not in html and '<option value="DE" selected>' in html


def test_every_fault_is_said_at_its_field_and_in_the_summary(client: Any, show: Show, clock: Any) -> None:
    fields = fetch(client)
    html = send(client, step="check", fields=fields, name="", postal_code="123", gift="-5").content.decode()
    assert "Three things need another look." in html
    for field in ("name", "postal_code", "gift"):
        assert f'<a href="#id_{field}">' in html
        assert f'id="error_1_id_{field}"' in html
    assert 'value="mary@example.org"' in html
    assert not Pledge.objects.exists()


@pytest.mark.parametrize("typed", ["12,50", "12.50", "€ 12.50", "12.5 EUR"])
def test_gift_is_read_as_people_type_it(client: Any, show: Show, clock: Any, typed: str) -> None:
    assert "€12.50" in send(client, step="check", fields=fetch(client), gift=typed).content.decode()


def test_more_than_the_limit_is_not_on_offer(client: Any, show: Show, clock: Any) -> None:
    html = send(client, step="check", fields=fetch(client), copies_harbour="4").content.decode()
    assert "That many are not on offer just now" in html


def test_limit_holds_over_several_orders_of_one_address(client: Any, show: Show, clock: Any) -> None:
    place(show, email="Mary@example.org", copies=3)
    response = place_through_pages(client, clock)
    assert "3 are already ordered with this e-mail address" in response.content.decode()
    assert Pledge.objects.count() == 1


def test_double_click_back_and_reload_are_one_order(client: Any, show: Show, clock: Any) -> None:
    fields = fetch(client)
    clock.shift(30)
    answers = [send(client, step="place", fields=fields, agreed_total_minor="4990") for _ in range(3)]
    assert [answer.url for answer in answers] == [f"/my/{Pledge.objects.get().code}/"] * 3
    assert OutboxMessage.objects.count() == 1
    assert "Nothing was ordered twice" in client.get(answers[0].url).content.decode()


def test_double_click_on_the_last_copy_finds_the_order(client: Any, clock: Any) -> None:
    make_show(copies=1)
    fields = fetch(client)
    clock.shift(30)
    first, second = (send(client, step="place", fields=fields, agreed_total_minor="4990") for _ in range(2))
    assert first.url == second.url


def test_sum_that_changed_since_it_was_shown_is_shown_again(client: Any, show: Show, clock: Any) -> None:
    fields = fetch(client)
    clock.shift(30)
    PostageRate.objects.filter(zone="Germany").update(charge_minor=590)
    response = send(client, step="place", fields=fields, agreed_total_minor="4990")
    assert "The sum has changed since you saw it" in response.content.decode()
    assert hidden(response)["agreed_total_minor"] == "5090"
    assert not Pledge.objects.exists()


def test_order_faster_than_anybody_types_is_refused(client: Any, show: Show, clock: Any) -> None:
    fields = fetch(client)
    clock.shift(1)
    response = send(client, step="place", fields=fields, agreed_total_minor="4990")
    assert "faster than anybody types" in response.content.decode()
    clock.shift(30)
    again = hidden(response) | {"agreed_total_minor": "4990"}
    assert send(client, step="place", fields=again).status_code == 302


@pytest.mark.parametrize("opened", ["", "made-up", "open:abc:def"])
def test_order_with_a_made_up_stamp_is_refused(client: Any, show: Show, clock: Any, opened: str) -> None:
    fields = fetch(client) | {"opened": opened}
    clock.shift(30)
    assert (
        "faster than anybody" in send(client, step="place", fields=fields, agreed_total_minor="4990").content.decode()
    )


def test_filled_trap_is_refused(client: Any, show: Show, clock: Any) -> None:
    response = place_through_pages(client, clock, website="spam.example")
    assert "One field must stay empty" in response.content.decode()
    assert not Pledge.objects.exists()


@pytest.mark.parametrize("key", ["", "not-a-key"])
def test_broken_request_key_is_refused(client: Any, show: Show, clock: Any, key: str) -> None:
    fields = fetch(client) | {"request_key": key}
    clock.shift(30)
    assert send(client, step="place", fields=fields, agreed_total_minor="4990").status_code == 200
    assert not Pledge.objects.exists()


def test_order_without_the_token_is_refused(show: Show, clock: Any) -> None:
    assert Client(enforce_csrf_checks=True).post(URL, {"step": "place"}).status_code == 403


def test_order_form_is_never_cached(client: Any, show: Show, clock: Any) -> None:
    assert "no-store" in client.get(URL).headers["Cache-Control"]


def test_sixth_order_of_an_address_waits_for_the_next_hour(client: Any, show: Show, clock: Any) -> None:
    answers = []
    for _ in range(7):
        fields = fetch(client, query="?what=gift") | {"request_key": new_key()}
        clock.shift(3)
        answers.append(send(client, step="place", query="?what=gift", fields=fields, agreed_total_minor="2500"))
    assert [answer.status_code for answer in answers] == [302] * 6 + [429]
    assert 0 < int(answers[-1].headers["Retry-After"]) <= 3600
    clock.shift(3600)
    fields = fetch(client, query="?what=gift")
    clock.shift(3)
    late = send(client, step="place", query="?what=gift", fields=fields, agreed_total_minor="2500")
    assert late.status_code == 302


def test_one_network_has_a_limit_too(client: Any, show: Show, clock: Any, settings: Any) -> None:
    settings.ORDERS_PER_HOUR = 2
    codes = []
    for number in range(3):
        fields = fetch(client, query="?what=gift")
        clock.shift(3)
        changes = {"email": f"m{number}@example.org", "agreed_total_minor": "2500"}
        codes.append(send(client, step="place", query="?what=gift", fields=fields, **changes).status_code)
    assert codes == [302, 302, 429]


@pytest.mark.parametrize("days", [-10, 30])
def test_outside_the_campaign_nothing_is_taken(client: Any, show: Show, clock: Any, days: int) -> None:
    fields = fetch(client)
    clock.move_to(NOW + timedelta(days=days))
    assert "Orders are taken from 1 March 2026" in client.get(URL).content.decode()
    send(client, step="place", fields=fields, agreed_total_minor="4990")
    assert not Pledge.objects.exists()


def test_sold_out_page_says_that_copies_may_come_back(client: Any, clock: Any) -> None:
    place(make_show(copies=1))
    html = client.get(URL).content.decode()
    assert "The only copy of “Harbour light” is spoken for or held at the moment." in html
    assert "ask for a place in the waiting list" in html
    assert 'name="step"' not in html


def test_ways_that_the_studio_does_not_offer_are_not_shown(client: Any, show: Show, clock: Any) -> None:
    Studio.objects.update(cheque_payee="", cash_note="")
    html = client.get(URL).content.decode()
    assert 'value="transfer"' in html and 'value="cheque"' not in html and 'value="cash"' not in html


def test_draft_takes_no_orders(client: Any, clock: Any) -> None:
    make_draft()
    assert client.get(URL).status_code == 404


def test_wrong_method_is_refused(client: Any, show: Show, clock: Any) -> None:
    assert client.delete(URL).status_code == 405
