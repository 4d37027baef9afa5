"""A backer's own page: opened by the private link, changed and cancelled by POST alone."""

from datetime import date
from typing import Any

import pytest
from django.test import Client

from campaign.access import make_pledge_token
from campaign.models import Copy, OutboxMessage, Pledge, Show
from tests.builders import LONDON_ADDRESS, pay, place

pytestmark = [pytest.mark.django_db]
NEW_ADDRESS = {"name": "Mary Sample", "street_address": "Probeweg 1", "postal_code": "20095", "city": "Hamburg"}


@pytest.fixture
def pledge(show: Show, clock: Any) -> Pledge:
    return place(show)


@pytest.fixture
def visitor(client: Any, pledge: Pledge) -> Any:
    """A browser that has opened the private link."""
    client.get(f"/m/{make_pledge_token(pledge)}/")
    return client


def mails(name: str) -> int:
    return OutboxMessage.objects.filter(name=name).count()


def test_link_opens_the_order_on_a_clean_address(client: Any, pledge: Pledge) -> None:
    response = client.get(f"/m/{make_pledge_token(pledge)}/")
    assert response.status_code == 302 and response.url == f"/my/{pledge.code}/"
    assert "no-store" in response.headers["Cache-Control"]
    cookie = response.cookies["pledge"]
    assert cookie["httponly"] and cookie["samesite"] == "Lax" and cookie["max-age"] == 1800
    assert client.get(response.url).status_code == 200


def test_cookie_is_bound_to_its_host_under_https(client: Any, pledge: Pledge, settings: Any) -> None:
    settings.HTTPS = True
    cookie = client.get(f"/m/{make_pledge_token(pledge)}/").cookies["__Host-pledge"]
    assert cookie["secure"] and cookie["path"] == "/" and not cookie["domain"]


def test_page_without_the_cookie_says_the_same_for_every_code(client: Any, pledge: Pledge) -> None:
    known, unknown = client.get(f"/my/{pledge.code}/"), client.get("/my/222222222222/")
    assert known.status_code == unknown.status_code == 403
    assert known.content == unknown.content
    assert "Have the link sent again" in known.content.decode()


def test_cookie_of_one_order_does_not_open_another(visitor: Any, show: Show) -> None:
    assert visitor.get(f"/my/{place(show).code}/").status_code == 403


def test_page_closes_after_half_an_hour(visitor: Any, pledge: Pledge, clock: Any) -> None:
    clock.shift(29 * 60)
    assert visitor.get(f"/my/{pledge.code}/").status_code == 200
    clock.shift(2 * 60)
    assert visitor.get(f"/my/{pledge.code}/").status_code == 403


@pytest.mark.parametrize("token", ["nonsense", "a:b:c"])
def test_forged_link_is_not_there(client: Any, pledge: Pledge, token: str) -> None:
    assert client.get(f"/m/{token}/").status_code == 404


def test_withdrawn_link_is_not_there_and_closes_open_pages(visitor: Any, pledge: Pledge) -> None:
    token = make_pledge_token(pledge)
    Pledge.objects.update(link_version=2)
    assert visitor.get(f"/m/{token}/").status_code == 404
    assert visitor.get(f"/my/{pledge.code}/").status_code == 403


def test_getting_any_page_changes_nothing(visitor: Any, pledge: Pledge) -> None:
    before = Pledge.objects.values().get(), OutboxMessage.objects.count()
    for path in ("", "address/", "cancel/"):
        response = visitor.get(f"/my/{pledge.code}/{path}")
        assert response.status_code == 200 and "no-store" in response.headers["Cache-Control"]
    assert (Pledge.objects.values().get(), OutboxMessage.objects.count()) == before


def test_address_is_changed_and_confirmed_by_mail(visitor: Any, pledge: Pledge) -> None:
    response = visitor.post(f"/my/{pledge.code}/address/", NEW_ADDRESS)
    assert response.url == f"/my/{pledge.code}/"
    pledge.refresh_from_db()
    assert pledge.address["city"] == "Hamburg" and pledge.name == "Mary Sample"
    assert mails("address_changed") == 1
    html = visitor.get(response.url).content.decode()
    assert "The new address is recorded" in html and "20095 Hamburg" in html


def test_same_address_twice_is_one_change(visitor: Any, pledge: Pledge) -> None:
    for _ in range(2):
        visitor.post(f"/my/{pledge.code}/address/", NEW_ADDRESS)
    assert mails("address_changed") == 1


def test_address_follows_the_rules_of_the_chosen_country(visitor: Any, show: Show, clock: Any) -> None:
    far = place(show, address=dict(LONDON_ADDRESS))
    visitor.get(f"/m/{make_pledge_token(far)}/")
    url = f"/my/{far.code}/address/?country=IE"
    assert "Eircode" in visitor.get(url).content.decode()
    new = {"name": "Mary Sample", "street_address": "1 Sample Lane", "city": "Dublin", "postal_code": "D02 AF30"}
    assert visitor.post(url, new).status_code == 302
    far.refresh_from_db()
    assert far.address["country_code"] == "IE"


def test_dearer_country_is_refused_in_words(visitor: Any, pledge: Pledge) -> None:
    fields = {"name": "M", "street_address": "1 Sample Lane", "city": "London", "postal_code": "SW1A 2AA"}
    response = visitor.post(f"/my/{pledge.code}/address/?country=GB", fields)
    assert response.status_code == 200 and "costs more than the postage" in response.content.decode()
    pledge.refresh_from_db()
    assert pledge.address["country_code"] == "DE"


def test_bad_address_is_said_at_its_field(visitor: Any, pledge: Pledge) -> None:
    html = visitor.post(f"/my/{pledge.code}/address/", NEW_ADDRESS | {"postal_code": "1"}).content.decode()
    assert "is not a postcode of Germany" in html and 'value="Hamburg"' in html


def test_address_is_fixed_once_printing_has_ended(visitor: Any, pledge: Pledge, show: Show, clock: Any) -> None:
    pay(pledge)
    Show.objects.update(state=Show.State.PRINTED, closed_at=show.opens_at)
    html = visitor.get(f"/my/{pledge.code}/address/").content.decode()
    assert "can no longer be changed here" in html and "<form" not in html.split("<main")[1]
    visitor.post(f"/my/{pledge.code}/address/", NEW_ADDRESS)
    pledge.refresh_from_db()
    assert pledge.address["city"] == "Berlin"


def test_cancelling_frees_the_copy_and_is_done_once(visitor: Any, pledge: Pledge) -> None:
    for _ in range(2):
        assert visitor.post(f"/my/{pledge.code}/cancel/").url == f"/my/{pledge.code}/"
    pledge.refresh_from_db()
    assert pledge.state == "cancelled" and mails("pledge_cancelled") == 1
    assert not Copy.objects.filter(pledge=pledge).exists()
    assert "is cancelled" in visitor.get(f"/my/{pledge.code}/").content.decode()


def test_paid_order_that_is_cancelled_says_what_goes_back(visitor: Any, pledge: Pledge) -> None:
    pay(pledge)
    assert "The €49.90 that came in goes back" in visitor.get(f"/my/{pledge.code}/cancel/").content.decode()
    visitor.post(f"/my/{pledge.code}/cancel/")
    assert "€49.90 came in for it and goes back to you" in visitor.get(f"/my/{pledge.code}/").content.decode()


def test_cancelling_ends_with_the_last_day(visitor: Any, pledge: Pledge, clock: Any) -> None:
    Show.objects.update(cancel_until_on=date(2026, 3, 9))
    assert "can no longer be cancelled here" in visitor.get(f"/my/{pledge.code}/cancel/").content.decode()
    html = visitor.post(f"/my/{pledge.code}/cancel/", follow=True).content.decode()
    pledge.refresh_from_db()
    assert pledge.state == "held" and "until 9 March 2026" in html


def test_part_payment_asks_for_the_rest(visitor: Any, pledge: Pledge) -> None:
    pay(pledge, amount_minor=2_000)
    html = visitor.get(f"/my/{pledge.code}/").content.decode()
    assert "Still to pay" in html and "€29.90" in html and "transfer of €29.90" in html


def test_paid_order_asks_for_nothing(visitor: Any, pledge: Pledge) -> None:
    pay(pledge)
    html = visitor.get(f"/my/{pledge.code}/").content.decode()
    assert "Copy 1 of 20 is spoken for" in html and "How to pay" not in html


def test_lapsed_order_asks_for_nothing(visitor: Any, pledge: Pledge, clock: Any) -> None:
    Pledge.objects.update(state="lapsed", ended_at=pledge.placed_at)
    Copy.objects.update(state="free", pledge=None, line=None)
    html = visitor.get(f"/my/{pledge.code}/").content.decode()
    assert "has lapsed. You owe nothing." in html and "How to pay" not in html and "Cancel it" not in html


@pytest.mark.parametrize("path", ["", "address/", "cancel/"])
def test_outsiders_and_artists_need_the_link_as_well(ada_client: Any, pledge: Pledge, path: str) -> None:
    assert ada_client.get(f"/my/{pledge.code}/{path}").status_code == 403
    if path:
        assert ada_client.post(f"/my/{pledge.code}/{path}").status_code == 403


def test_changes_need_the_token(pledge: Pledge) -> None:
    strict = Client(enforce_csrf_checks=True)
    strict.get(f"/m/{make_pledge_token(pledge)}/")
    assert strict.post(f"/my/{pledge.code}/cancel/").status_code == 403
    pledge.refresh_from_db()
    assert pledge.state == "held"


def test_link_cannot_be_posted_to(client: Any, pledge: Pledge) -> None:
    assert client.post(f"/m/{make_pledge_token(pledge)}/").status_code == 405
    assert client.post(f"/my/{pledge.code}/").status_code == 405
