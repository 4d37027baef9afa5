"""The button on the page of an order that says: it goes there."""

from django.urls import reverse

from campaign.access import make_pledge_token
from campaign.models import Pledge, Show
from campaign.services.destinations import change_address
from tests.builders import BERLIN_ADDRESS, NOW, pay, place

HAMBURG = {**BERLIN_ADDRESS, "street_address": "Beispielufer 9", "postal_code": "20095", "city": "Hamburg"}


def asked(show: Show) -> Pledge:
    pay(pledge := place(show))
    Pledge.objects.filter(pk=pledge.pk).update(address_asked_at=NOW)
    return pledge


def visit(client, pledge):
    client.get(reverse("campaign:pledge_link", args=[make_pledge_token(pledge)]))
    return client.get(reverse("campaign:my_pledge", args=[pledge.code])).content.decode()


def test_the_button_stands_there_only_while_it_is_asked(show, client):
    pledge = asked(show)
    url = reverse("campaign:my_address_right", args=[pledge.code])
    page = visit(client, pledge)
    seen = page.split('name="seen" value="')[1].split('"')[0]
    assert "This address is right" in page
    for _ in range(2):  # and twice
        answer = client.post(url, {"seen": seen}, follow=True)
        assert "it goes there" in answer.content.decode()
    page = visit(client, pledge)
    assert "This address is right" not in page and "that this address is right" in page


def test_an_address_that_moved_meanwhile_is_shown_again(show, client):
    pledge = asked(show)
    page = visit(client, pledge)
    seen = page.split('name="seen" value="')[1].split('"')[0]
    change_address(pledge=pledge, name="Kim Sample", address=HAMBURG, now=NOW)
    Pledge.objects.update(address_confirmed_at=None)
    answer = client.post(reverse("campaign:my_address_right", args=[pledge.code]), {"seen": seen}, follow=True)
    assert "changed meanwhile" in answer.content.decode()
    assert Pledge.objects.get().address_confirmed_at is None


def test_a_get_and_a_stranger_change_nothing(show, client):
    pledge = asked(show)
    url = reverse("campaign:my_address_right", args=[pledge.code])
    assert client.post(url, {"seen": "x"}).status_code == 403
    visit(client, pledge)
    assert client.get(url).status_code == 302
    assert client.put(url).status_code == 405
    assert "changed meanwhile" in client.post(url, follow=True).content.decode()
    assert Pledge.objects.get().address_confirmed_at is None
