"""The page that watches the campaign."""

import re

from django.urls import reverse

from campaign.models import Source
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
    said = re.search(r"between <strong[^>]*>([^<]+)</strong> and <strong[^>]*>([^<]+)</strong>", page)
    assert said and all(re.fullmatch(r"€[\d,]+", sum_) for sum_ in said.groups())  # a guess has no cents


def test_a_link_is_made_once_and_an_order_keeps_its_tag_from_page_to_row(show, ada_client, client, clock):
    for _ in range(2):
        ada_client.post(url(show), {"name": "Poster in the bakery"})
    source = Source.objects.get()
    assert source.tag == "poster-in-the-bakery"
    public = client.get(reverse("campaign:show", args=[show.code]) + f"?from={source.tag}").content.decode()
    assert f'name="from" value="{source.tag}"' in public
    order = client.get(reverse("campaign:order", args=[show.code]) + f"?from={source.tag}").content.decode()
    assert f'name="source" value="{source.tag}"' in order
    assert place(show, source_tag=source.tag).source == source
    assert place(show, source_tag="nobody-made-this").source is None
    page = ada_client.get(url(show)).content.decode()
    assert "?from=poster-in-the-bakery" in page
    assert "without a tag" in page


def test_a_tag_in_the_address_is_only_text(show, client, clock):
    page = client.get(reverse("campaign:show", args=[show.code]), {"from": '"><script>x</script>\0'}).content.decode()
    assert "<script>x" not in page


def test_a_name_without_letters_gets_a_sentence(show, ada_client, clock):
    page = ada_client.post(url(show), {"name": "!!!"}).content.decode()
    assert "this name has none" in page
    assert "Say where the link" in ada_client.post(url(show), {"name": ""}).content.decode()
    assert not Source.objects.exists()
