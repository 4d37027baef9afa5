"""The page that watches the campaign."""

from django.urls import reverse

from campaign.models import Pledge, Source
from tests.builders import pay, place


def url(show):
    return reverse("campaign:watching", args=[show.code])


def test_the_course_is_drawn_with_its_table(show, ada_client, clock):
    pay(place(show, copies=2))
    place(show, gift_minor=1_000)
    page = ada_client.get(url(show)).content.decode()
    assert "<polyline" in page and "Day by day" in page
    assert "22 days are left." in page
    assert "too early to say" in page


def test_with_enough_orders_a_band_is_said(show, ada_client, clock):
    for _ in range(8):
        place(show)
    page = ada_client.get(url(show)).content.decode()
    assert "Four times in five" in page


def test_a_link_is_made_once_and_counts_the_orders_that_kept_its_tag(show, ada_client, clock):
    for _ in range(2):
        ada_client.post(url(show), {"name": "Poster in the bakery"})
    source = Source.objects.get()
    assert source.tag == "poster-in-the-bakery"
    Pledge.objects.filter(pk=place(show).pk).update(source=source)
    page = ada_client.get(url(show)).content.decode()
    assert "?from=poster-in-the-bakery" in page
    assert "Poster in the bakery" in page


def test_a_name_without_letters_gets_a_sentence(show, ada_client, clock):
    page = ada_client.post(url(show), {"name": "!!!"}).content.decode()
    assert "this name has none" in page
    assert "Say where the link" in ada_client.post(url(show), {"name": ""}).content.decode()
    assert not Source.objects.exists()
