"""The private link of an order is withdrawn by the artist: old links and visits end, a new one may go out."""

import re
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from campaign import mail
from campaign.access import make_pledge_token
from campaign.models import OutboxMessage, Pledge, Show
from tests.builders import NOW, place
from tests.campaign.views.studio_forms import filled, words_of

pytestmark = [pytest.mark.django_db]


@pytest.fixture
def pledge(show: Show, clock: Any) -> Pledge:
    return place(show)


def url_of(pledge: Pledge) -> str:
    return reverse("campaign:withdraw_link", args=["tideline", pledge.code])


def new_links() -> list[OutboxMessage]:
    return list(OutboxMessage.objects.filter(name="link_again"))


def withdraw(client: Any, pledge: Pledge, **changes: Any) -> Any:
    return client.post(url_of(pledge), filled(client.get(url_of(pledge)), **changes), follow=True)


def test_old_links_and_open_pages_end_and_the_new_link_works(ada_client: Any, pledge: Pledge) -> None:
    visitor, old = Client(), make_pledge_token(pledge)
    visitor.get(f"/m/{old}/")
    assert "A new one is on its way" in words_of(withdraw(ada_client, pledge))[0]
    assert visitor.get(f"/my/{pledge.code}/").status_code == 403
    assert visitor.get(f"/m/{old}/").status_code == 404
    [message] = new_links()
    assert "has withdrawn the link" in message.text and "has withdrawn the link" in message.html
    assert "somebody else typed your address" not in message.text
    token = re.search(r"/m/([^/\s]+)/", message.text)
    assert token and visitor.get(f"/m/{token[1]}/").status_code == 302
    assert visitor.get(f"/my/{pledge.code}/").status_code == 200


def test_without_the_tick_nothing_is_sent(ada_client: Any, pledge: Pledge) -> None:
    typed = filled(ada_client.get(url_of(pledge)))
    ada_client.post(url_of(pledge), {"version": typed["version"]})
    pledge.refresh_from_db()
    assert pledge.link_version == 2 and not new_links()


def test_the_same_submit_twice_spares_the_new_link(ada_client: Any, pledge: Pledge) -> None:
    typed = filled(ada_client.get(url_of(pledge)))
    ada_client.post(url_of(pledge), typed)
    again = ada_client.post(url_of(pledge), typed, follow=True)
    assert "withdrawn before" in words_of(again)[-1]
    pledge.refresh_from_db()
    assert pledge.link_version == 2 and len(new_links()) == 1


def test_a_link_that_was_sent_within_the_hour_does_not_keep_the_new_one_back(ada_client: Any, pledge: Pledge) -> None:
    with transaction.atomic():
        mail.link_again(pledge=pledge, now=NOW)
    withdraw(ada_client, pledge)
    assert [message.key.split(":")[2] for message in new_links()] == ["1", "2"]


@pytest.mark.parametrize("version", ["", "x", "0", "9" * 30])
def test_a_version_that_nobody_was_shown_withdraws_nothing(ada_client: Any, pledge: Pledge, version: str) -> None:
    assert ada_client.post(url_of(pledge), {"version": version}).status_code == 200
    pledge.refresh_from_db()
    assert pledge.link_version == 1


def test_looking_at_the_page_and_other_methods_withdraw_nothing(ada_client: Any, pledge: Pledge) -> None:
    assert Client().post(url_of(pledge), {"version": "1"}).status_code == 302  # to the sign-in
    assert ada_client.get(url_of(pledge)).status_code == 200
    assert ada_client.put(url_of(pledge)).status_code == 405
    pledge.refresh_from_db()
    assert pledge.link_version == 1


def test_an_outsider_does_not_find_the_page(cleo_client: Any, pledge: Pledge) -> None:
    assert cleo_client.post(url_of(pledge), {"version": "1"}).status_code == 404
    pledge.refresh_from_db()
    assert pledge.link_version == 1
