"""The page that corrects an address, from the page of a pledge and from what a backer asked."""

from datetime import timedelta

import pytest
from django.urls import reverse

from campaign.models import ChangeRequest, OutboxMessage
from campaign.queries.basket import LineWish
from fulfilment.models import Parcel
from fulfilment.services.parcels import mark_posted
from tests.builders import NOW
from tests.campaign.views.studio_forms import filled, words_of
from tests.fulfilment.scene import LATER, close, end, order, print_all, work

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("engine")]
FRIEND = {"country_code": "FR", "street_address": "8 rue de l’Exemple", "postal_code": "75008", "city": "Paris"}


@pytest.fixture
def pledge(show):
    """An order of one print for its backer and one for a friend in France, in two parcels."""
    pledge = order(show, name="Mary Sample", email="mary@example.org",
                   lines=(LineWish("harbour", 1), LineWish("harbour", 1, "Wim Sample", FRIEND)))  # fmt: skip
    close(show)
    print_all(show)
    work(end(show))
    return pledge


def url_of(pledge, number=0):
    return reverse("fulfilment:correct_address", args=["tideline", pledge.code, number])


def correct(client, pledge, number=0, *, country="", **changes):
    url = url_of(pledge, number) + (f"?country={country}" if country else "")
    return client.post(url, filled(client.get(url), **changes), follow=True)


def page_of(client, pledge):
    return client.get(reverse("campaign:pledge", args=["tideline", pledge.code])).content.decode()


def test_the_page_of_a_pledge_leads_to_it_for_everybody_it_goes_to(ada_client, pledge):
    page = page_of(ada_client, pledge)
    assert url_of(pledge) in page and url_of(pledge, 1) in page


def test_a_corrected_address_moves_the_parcel_and_says_so(ada_client, pledge):
    answer = correct(ada_client, pledge, street_address="Probeweg 1", city="Hamburg", postal_code="20095")
    number = Parcel.objects.get(name="Mary Sample").number
    assert f"The papers of parcel {number} are being made again" in words_of(answer)[0]
    assert Parcel.objects.get(name="Mary Sample").address["city"] == "Hamburg"
    assert OutboxMessage.objects.filter(name="address_changed").count() == 1


def test_the_same_twice_is_one_correction(ada_client, pledge):
    for _ in range(2):
        answer = correct(ada_client, pledge, street_address="Probeweg 1", city="Hamburg", postal_code="20095")
    assert "nothing was changed" in words_of(answer)[0]
    assert OutboxMessage.objects.filter(name="address_changed").count() == 1


def test_a_friends_address_keeps_to_the_rules_of_their_country(ada_client, pledge):
    wrong = correct(ada_client, pledge, 1, postal_code="7500")
    assert "postal_code" in wrong.context["form"].errors
    correct(ada_client, pledge, 1, street_address="9 rue de l’Exemple")
    assert Parcel.objects.get(name="Wim Sample").address["street_address"] == "9 rue de l’Exemple"


def test_a_dearer_country_asks_for_the_studios_word(ada_client, pledge):
    typed = {"street_address": "1 Sample Lane", "city": "London", "postal_code": "SW1A 2AA", "country": "GB"}
    answer = correct(ada_client, pledge, **typed)
    assert "costs more than the postage that was agreed" in answer.content.decode()
    assert Parcel.objects.get(name="Mary Sample").address["country_code"] == "DE"
    assert "corrected" in words_of(correct(ada_client, pledge, bears_postage="on", **typed))[0]


def test_it_answers_what_was_asked(ada_client, pledge):
    asked = ChangeRequest.objects.create(pledge=pledge, text="To Hamburg, please.", asked_at=NOW)
    question = ada_client.get(reverse("campaign:change_request", args=["tideline", asked.request_key]))
    link = f"{url_of(pledge)}?answers={asked.request_key}"
    assert link in question.content.decode()
    ada_client.post(link, filled(ada_client.get(link), city="Hamburg", postal_code="20095", words="Gladly."))
    asked.refresh_from_db()
    assert (asked.state, asked.answer) == ("done", "Gladly.")


def test_nothing_is_offered_once_all_is_posted(ada_client, show, pledge):
    mark_posted(show=show, tracking={parcel.code: "" for parcel in Parcel.objects.all()}, now=LATER)
    assert url_of(pledge) not in page_of(ada_client, pledge)
    assert "posted already" in correct(ada_client, pledge, city="Hamburg").content.decode()


def test_a_friend_who_is_not_there_leads_back(ada_client, pledge):
    assert ada_client.get(url_of(pledge, 7)).url == reverse("campaign:pledge", args=["tideline", pledge.code])


def test_an_order_not_printed_yet_is_corrected_too(ada_client, show):
    pledge = order(show, now=NOW - timedelta(days=1))
    assert "The address is corrected" in words_of(correct(ada_client, pledge, city="Potsdam"))[0]
