"""Ordering several prints, some of them for a friend, with taxes: through the pages and without a script."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from campaign.access import make_pledge_token
from campaign.models import Edition, OutboxMessage, Pledge, Show
from campaign.queries.basket import LineWish
from campaign.services.taxes import TaxWish, set_taxes
from tests.builders import NOW, add_small_edition, place
from tests.campaign.views.order_flow import ORDER, URL, fetch, hidden, place_through_pages, send

pytestmark = pytest.mark.django_db
FRIEND_QUERY = "?country=DE&friend=FR"
FRIEND = {
    "friend_name": "Wim Sample", "friend_street_address": "8 rue de l’Exemple", "friend_postal_code": "75008",
    "friend_city": "Paris",
}  # fmt: skip
BOTH = {"copies_harbour": "1", "copies_pocket": "2"}


@pytest.fixture
def small(show: Show) -> Edition:
    return add_small_edition(show)


def text_of(response: Any) -> str:
    return str(response.content.decode())


def test_two_editions_are_one_order(client: Any, show: Show, small: Edition, clock: Any) -> None:
    response = place_through_pages(client, clock, **BOTH)
    pledge = Pledge.objects.get()
    assert [(line.edition.code, line.copies) for line in pledge.lines.all()] == [("harbour", 1), ("pocket", 2)]
    html = text_of(client.get(response.url))
    assert "Copy 1 of 20 of “Harbour light” and copies 1 and 2 of 3 of “Pocket” are held for you" in html
    assert "2 prints of “Pocket”" in html and "€77.90" in html


def test_the_sum_of_the_whole_basket_is_shown_before_it_is_ordered(
    client: Any, show: Show, small: Edition, clock: Any
) -> None:
    html = text_of(send(client, step="check", fields=fetch(client), **BOTH))
    for words in ("1 print of “Harbour light”", "2 prints of “Pocket”", "Postage to Germany", "duty to pay €77.90"):
        assert words in html
    assert not Pledge.objects.exists()


def test_postage_to_the_country_stands_beside_the_form(client: Any, show: Show, small: Edition, clock: Any) -> None:
    html = text_of(client.get(URL + "?country=FR"))
    assert "Postage to France" in html and "Up to 3 prints" in html and "€11.90" in html
    assert "2 prints, €28.00" in html


def test_copies_for_a_friend_go_to_the_friend(client: Any, show: Show, small: Edition, clock: Any) -> None:
    answer = place_through_pages(
        client, clock, query=FRIEND_QUERY, copies_pocket="0", friend_copies_harbour="1", friend_copies_pocket="0",
        **FRIEND,
    )  # fmt: skip
    pledge = Pledge.objects.get()
    own, friend = pledge.lines.all()
    assert (own.copies, own.recipient_name, own.address) == (1, "", {})
    assert (friend.copies, friend.recipient_name) == (1, "Wim Sample")
    assert friend.address["country_code"] == "FR" and "name" not in friend.address
    assert pledge.postage_minor == 490 + 890
    html = text_of(client.get(answer.url))
    assert "For Wim Sample" in html and "The mail that it is on its way comes to you." in html


def test_everything_may_go_to_the_friend(client: Any, show: Show, clock: Any) -> None:
    place_through_pages(client, clock, query=FRIEND_QUERY, copies_harbour="0", friend_copies_harbour="1", **FRIEND)
    assert Pledge.objects.get().postage_minor == 890


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"friend_copies_harbour": "0"}, "Choose what goes to your friend"),
        ({"friend_name": ""}, "Your friend’s name is needed"),
        ({"friend_postal_code": "nonsense"}, "is not a postcode of France"),
        ({"copies_harbour": "0", "friend_copies_harbour": "0"}, "Choose how many prints."),
        ({"copies_harbour": "3", "friend_copies_harbour": "1"}, "With your own that is 4; 3 of them can be had."),
        ({"friend_copies_harbour": "17"}, "That many are not on offer"),
        ({"friend_copies_harbour": "x\x00"}, "That many are not on offer"),
    ],
)
def test_bad_input_for_a_friend_is_said_at_its_field(
    client: Any, show: Show, clock: Any, changes: dict[str, str], words: str
) -> None:
    fields = fetch(client, query=FRIEND_QUERY)
    typed = {"friend_copies_harbour": "1", **FRIEND, **changes}
    html = text_of(send(client, step="check", query=FRIEND_QUERY, fields=fields, **typed))
    assert words in html and 'value="8 rue' in html.replace("<textarea", 'value="8 rue') and "<h1>Order" in html


def test_no_print_at_all_is_no_order(client: Any, show: Show, small: Edition, clock: Any) -> None:
    html = text_of(send(client, step="check", fields=fetch(client), copies_harbour="0", copies_pocket="0"))
    assert "Choose how many prints." in html


def test_a_load_without_a_price_is_said(client: Any, show: Show, small: Edition, clock: Any) -> None:
    html = text_of(send(client, step="check", fields=fetch(client), copies_harbour="2", copies_pocket="2"))
    assert "There is no postage price for Germany with that many copies" in html


def test_a_friends_country_without_postage_asks_for_no_friend(client: Any, show: Show, clock: Any) -> None:
    show.postage_rates.filter(countries="*").delete()
    assert "friend_name" not in text_of(client.get(URL + "?friend=US"))


def test_an_edition_with_a_window_says_when(client: Any, show: Show, small: Edition, clock: Any) -> None:
    Edition.objects.filter(pk=small.pk).update(sold_from_at=NOW + timedelta(days=1))
    assert "“Pocket” can be ordered from 11 March 2026, 13:00 CET." in text_of(client.get(URL))
    page = text_of(client.get("/show/tideline/"))
    assert "This print can be ordered from 11 March 2026" in page
    Edition.objects.filter(pk=small.pk).update(sold_from_at=None, sold_until_at=NOW - timedelta(days=1))
    assert "“Pocket” could be ordered until 9 March 2026" in text_of(client.get(URL))
    assert "could be ordered until 9 March 2026" in text_of(client.get("/show/tideline/"))
    html = text_of(send(client, step="check", fields=fetch(client), copies_pocket="1"))
    assert "2 prints of" not in html and "Pocket”</th>" not in html


def test_a_tax_stands_in_the_form_the_sum_the_mail_and_the_page(client: Any, show: Show, clock: Any) -> None:
    set_taxes(show=show, rates=[TaxWish("VAT", ("DE",), 700), TaxWish("sales tax", ("US",), 825, is_added=True)])
    assert "The prices and the postage hold 7 % VAT." in text_of(client.get(URL))
    fields = fetch(client)
    checked = text_of(send(client, step="check", fields=fields))
    assert "holds 7 % VAT" in checked and "€3.26" in checked
    answer = place_through_pages(client, clock)
    assert "holds 7 % VAT" in text_of(client.get(answer.url))
    assert "It holds 7 % VAT: €3.26" in OutboxMessage.objects.get().text
    assert "8.25 % sales tax is added to prints and postage" in text_of(client.get(URL + "?country=US"))
    assert "€5.11 sales tax, together €67.01" in text_of(client.get(URL + "?country=US"))


def test_a_tax_that_changed_since_is_shown_again(client: Any, show: Show, clock: Any) -> None:
    fields = fetch(client)
    clock.shift(30)
    set_taxes(show=show, rates=[TaxWish("sales tax", ("DE",), 1_000, is_added=True)])
    response = send(client, step="place", fields=fields, agreed_total_minor="4990")
    assert "The sum has changed since you saw it" in text_of(response)
    assert hidden(response)["agreed_total_minor"] == "5489"
    assert not Pledge.objects.exists()


def test_the_order_page_takes_at_most_9_queries(
    client: Any, show: Show, small: Edition, clock: Any, django_assert_max_num_queries: Any
) -> None:
    set_taxes(show=show, rates=[TaxWish("VAT", ("DE",), 700)])
    with django_assert_max_num_queries(9):
        client.get(URL + FRIEND_QUERY)
    with django_assert_max_num_queries(9):
        client.post(URL, ORDER | BOTH | {"step": "check"})


# --- the friend's address on the order's own page ---


@pytest.fixture
def pledge(show: Show, clock: Any) -> Pledge:
    address = {"country_code": "FR", "street_address": "8 rue X", "postal_code": "75008", "city": "Paris"}
    return place(show, lines=(LineWish("harbour", 1), LineWish("harbour", 1, "Wim Sample", address)))


@pytest.fixture
def visitor(client: Any, pledge: Pledge) -> Any:
    client.get(f"/m/{make_pledge_token(pledge)}/")
    return client


MOVED = {"name": "Wim Sample", "street_address": "1 rue Y", "postal_code": "69001", "city": "Lyon"}


def test_a_friend_moves(visitor: Any, pledge: Pledge) -> None:
    url = f"/my/{pledge.code}/friend/1/address/"
    assert "Where the parcel for Wim Sample goes" in text_of(visitor.get(url))
    for _ in range(2):
        assert visitor.post(url, MOVED).url == f"/my/{pledge.code}/"
    assert pledge.lines.get(recipient_name="Wim Sample").address["city"] == "Lyon"
    assert pledge.address["city"] == "Berlin"
    assert OutboxMessage.objects.filter(name="address_changed").count() == 1


def test_a_friend_does_not_move_where_the_post_is_dearer(visitor: Any, pledge: Pledge) -> None:
    fields = {"name": "W", "street_address": "1 Example St", "city": "X", "country_area": "NY", "postal_code": "10001"}
    html = text_of(visitor.post(f"/my/{pledge.code}/friend/1/address/?country=US", fields))
    assert "costs more than the postage" in html
    bad = text_of(visitor.post(f"/my/{pledge.code}/friend/1/address/", MOVED | {"postal_code": "1"}))
    assert "is not a postcode of France" in bad


def test_cancelling_says_which_copies_become_free(visitor: Any, pledge: Pledge) -> None:
    html = text_of(visitor.get(f"/my/{pledge.code}/cancel/"))
    assert "Copies 1 and 2 of 20 are free for others at once" in html


def test_no_such_friend_leads_back(visitor: Any, pledge: Pledge) -> None:
    assert visitor.get(f"/my/{pledge.code}/friend/2/address/").url == f"/my/{pledge.code}/"


def test_a_friends_address_needs_the_link_a_post_and_the_token(client: Any, ada_client: Any, pledge: Pledge) -> None:
    url = f"/my/{pledge.code}/friend/1/address/"
    for visitor in (Client(), ada_client):
        assert visitor.get(url).status_code == visitor.post(url, MOVED).status_code == 403
    assert client.delete(url).status_code == 405
    strict = Client(enforce_csrf_checks=True)
    strict.get(f"/m/{make_pledge_token(pledge)}/")
    assert strict.post(url, MOVED).status_code == 403
