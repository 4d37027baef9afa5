"""The waiting list in the studio: seen, and somebody taken off it. Who may open it is asked of all pages at once."""

import pytest
from django.urls import reverse

from campaign.models import Copy, OutboxMessage, Waiter
from campaign.services.pledges import cancel_pledge
from tests.builders import NOW, add_small_edition, make_draft, place, wait

URL = "/studio/tideline/fund/waiting/"


@pytest.fixture
def full(db):
    show = make_draft(state="open", copies=2)
    show.orders = [place(show), place(show)]
    return show


def test_an_empty_list_says_how_it_begins(ada_client, full):
    assert "Nobody waits." in ada_client.get(URL).content.decode()


def test_who_waits_since_when_and_for_what(ada_client, full):
    first, second, third = wait(full), wait(full, copies=2), wait(full)
    cancel_pledge(pledge=full.orders[0], by_backer=False, now=NOW)
    order = place(full, waiter=first)
    cancel_pledge(pledge=full.orders[1], by_backer=False, now=NOW)
    words = ada_client.get(URL).content.decode()
    assert "One person waits for one copy." in words and "One copy is on offer." in words
    assert "One order came from the list." in words and order.code in words
    assert words.index(second.email) < words.index(third.email)
    assert "1 copy until 12 March 2026, 13:00" in words


def test_taking_somebody_off_asks_first_and_tells_them_once(ada_client, full):
    waiter = wait(full)
    cancel_pledge(pledge=full.orders[0], by_backer=False, now=NOW)
    url = f"{URL}{waiter.code}/take-off/"
    assert f"Take {waiter.name} off the waiting list?" in ada_client.get(url).content.decode()
    assert Waiter.objects.get().state == "offered"
    assert "is off the list" in ada_client.post(url, follow=True).content.decode()
    assert "is off the list" not in ada_client.post(url, follow=True).content.decode()
    assert Waiter.objects.get().state == "left"
    assert Copy.objects.filter(state="free").count() == 1
    assert OutboxMessage.objects.filter(name="waiting_ended").count() == 1


def test_a_place_of_another_show_is_not_found(ada_client, full):
    make_draft(code="other")
    waiter = wait(full)
    assert ada_client.get(f"/studio/other/fund/waiting/{waiter.code}/take-off/").status_code == 404


def test_the_lists_of_prints_and_pledges_say_how_many_wait(ada_client, full):
    wait(full, copies=2)
    pledges = ada_client.get(reverse("campaign:pledges", args=["tideline"])).content.decode()
    assert "One person is on the waiting list</a>, for two copies." in pledges
    add_small_edition(full)
    prints = ada_client.get(reverse("campaign:prints", args=["tideline"])).content.decode()
    assert '1<span class="visually-hidden"> people wait for Harbour light' in prints


def test_the_hours_of_an_offer_are_a_setting(ada_client, full):
    words = ada_client.get(reverse("campaign:settings", args=["tideline"])).content.decode()
    assert "Hours an offer stands" in words
