"""The page Addresses in the room Send."""

from datetime import date

import pytest
from django.urls import reverse

from campaign.models import Bounce, Pledge, Show
from campaign.queries.basket import LineWish
from fulfilment.queries.address_list import read_address_list
from tests.builders import BERLIN_ADDRESS, LONDON_ADDRESS, NOW, pay, place

URL = "/studio/tideline/send/addresses/"


def pledge_for(show: Show, **changes) -> Pledge:
    pay(pledge := place(show, **changes))
    return pledge


def doubts(show: Show) -> list[str]:
    return [doubt for one in read_address_list(show).doubtful for doubt in one.doubts]


def test_an_address_that_looks_whole_has_no_doubt(show):
    pledge_for(show)
    assert doubts(show) == []


def test_doubts_are_named(show):
    own = {**BERLIN_ADDRESS, "street_address": "Beispielweg"}
    pledge = pledge_for(show, email="kim@example.org", address=own)
    pledge_for(show, email="kim@example.org", address=dict(BERLIN_ADDRESS))
    Bounce.objects.create(
        email="KIM@example.org", kind="hard", status="5.1.1", words="no", read_at=NOW, report_hash="x"
    )
    found = read_address_list(show).doubtful
    assert found[0].pledge == pledge
    assert found[0].doubts == (
        "No house number: “Beispielweg”.",
        "Another order of the same person goes to another address, so they travel apart.",
        "Mail to this person comes back.",
    )
    assert "No house number" not in found[1].doubts[0]


def test_a_friends_address_is_on_the_list_and_the_backers_only_where_something_goes_there(show):
    friend = {**LONDON_ADDRESS, "street_address": "Example Mews"}
    pledge_for(show, lines=(LineWish("harbour", 1, "Bo Sample", friend),))
    [one] = read_address_list(show).destinations
    assert (one.number, one.to.name) == (1, "Bo Sample")
    assert one.doubts == ("No house number: “Example Mews”.",)


def test_an_address_that_no_post_takes_says_which_field(show):
    pledge = pledge_for(show)
    Pledge.objects.filter(pk=pledge.pk).update(address={**BERLIN_ADDRESS, "postal_code": ""})
    assert doubts(show) == ["Postcode is needed for an address in Germany."]


def test_three_queries_whatever_the_number_of_orders(show, django_assert_num_queries):
    for _ in range(4):
        pledge_for(show, copies=1)
    with django_assert_num_queries(3):
        read_address_list(show)


def test_the_page_asks_moves_and_calls_off(show, ada_client):
    pledge_for(show)
    answer = ada_client.post(URL, {"until_on": "2099-01-01"}, follow=True)
    assert "The first mails go out in a minute" in answer.content.decode()
    assert Show.objects.get(pk=show.pk).addresses_until_on == date(2099, 1, 1)
    ada_client.post(URL, {"until_on": "2099-01-02"})
    assert Show.objects.get(pk=show.pk).addresses_until_on == date(2099, 1, 2)
    answer = ada_client.post(reverse("fulfilment:call_off_addresses", args=[show.code]), follow=True)
    assert "Nobody else is asked" in answer.content.decode()
    assert Show.objects.get(pk=show.pk).addresses_until_on is None


@pytest.mark.parametrize(("typed", "words"), [("", "Give the day"), ("2001-01-01", "still to come"), ("soon", "date")])
def test_a_day_that_cannot_be_is_refused_in_words(show, ada_client, typed, words):
    answer = ada_client.post(URL, {"until_on": typed})
    assert words in answer.content.decode()
    assert Show.objects.get(pk=show.pk).addresses_until_on is None


def test_ending_printing_says_what_is_not_sure(show, ada_client):
    pledge_for(show, address={**BERLIN_ADDRESS, "street_address": "Beispielweg"})
    Show.objects.filter(pk=show.pk).update(state="closed", closed_at=NOW)
    page = ada_client.get("/studio/tideline/print/end/").content.decode()
    assert "1 address to look at twice and 1 order whose backer has not said" in page
