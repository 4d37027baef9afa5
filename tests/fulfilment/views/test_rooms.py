"""Questions that every page of the rooms Print, Send, Hang and Settle must answer."""

import pytest
from django.urls import reverse

from tests.fulfilment.scene import show_with_parcels

pytestmark = pytest.mark.usefixtures("engine")
PAGES = ["print", "end_printing", "send", "hang", "hanging_sheet", "settle"]
ACTS = [("mark_copies", ["harbour"]), ("end_printing", []), ("send", []), ("send_notices", [])]


def address(name, show, parts=()):
    return reverse(f"fulfilment:{name}", args=[show.code, *parts])


@pytest.mark.parametrize("name", PAGES)
def test_anonymous_visitors_are_sent_to_the_sign_in(client, show, name):
    response = client.get(address(name, show))
    assert response.status_code == 302
    assert response["Location"].startswith(reverse("campaign:sign_in"))


@pytest.mark.parametrize("name", PAGES)
def test_an_outsider_is_told_there_is_no_such_page(cleo_client, show, name):
    assert cleo_client.get(address(name, show)).status_code == 404


@pytest.mark.parametrize(("name", "parts"), ACTS)
def test_an_outsider_cannot_act(cleo_client, client, show, name, parts):
    assert cleo_client.post(address(name, show, parts)).status_code == 404


@pytest.mark.parametrize("name", PAGES)
def test_the_artist_sees_the_page_and_no_cache_keeps_it(ada_client, show, name):
    response = ada_client.get(address(name, show))
    assert response.status_code == 200
    assert "no-store" in response["Cache-Control"]


@pytest.mark.parametrize(
    ("name", "parts"), [("mark_copies", ["harbour"]), ("send_notices", []), ("papers_again", ["CODE"])]
)
def test_acts_are_not_done_by_looking(ada_client, show, name, parts):
    assert ada_client.get(address(name, show, parts)).status_code == 405


@pytest.mark.parametrize("name", ["hang", "hanging_sheet", "settle", "print"])
def test_pages_to_look_at_take_no_submit(ada_client, show, name):
    assert ada_client.post(address(name, show)).status_code == 405


@pytest.mark.parametrize("name", ["print", "send", "hang", "settle"])
def test_every_page_opens_after_the_end_of_printing(ada_client, show, name):
    show_with_parcels(show)
    assert ada_client.get(address(name, show)).status_code == 200


@pytest.mark.parametrize(("name", "limit"), [("print", 12), ("send", 14), ("hang", 22), ("settle", 14)])
def test_more_orders_do_not_mean_more_queries(ada_client, show, name, limit, django_assert_max_num_queries):
    show_with_parcels(show, orders=8)
    with django_assert_max_num_queries(limit):
        ada_client.get(address(name, show))
