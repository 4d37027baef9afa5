"""Withdrawing on the page of an order: in two steps, kept with its moment, confirmed at once, and only once."""

import pytest
from django.urls import reverse

from campaign.access import make_pledge_token
from campaign.models import ChangeRequest, OutboxMessage, Pledge
from campaign.services.change_requests import answer_change
from tests.builders import BERLIN_ADDRESS, LONDON_ADDRESS, NOW, pay, place
from tests.late import BOSTON_ADDRESS, post

pytestmark = pytest.mark.django_db


def posted(show, address):
    """A paid order that is on its way."""
    pledge = place(show, address=dict(address))
    pay(pledge)
    post(pledge)
    return pledge


@pytest.fixture
def order(show, clock):
    pledge = posted(show, BERLIN_ADDRESS)
    clock.move_to("2026-08-05T10:00:00+00:00")
    return pledge


def visit(client, pledge):
    client.get(f"/m/{make_pledge_token(pledge)}/")
    return reverse("campaign:my_withdrawal", args=[pledge.code])


def test_a_look_changes_nothing_and_shows_the_statement(client, order):
    path = visit(client, order)
    assert path in client.get(f"/my/{order.code}/").content.decode()
    page = client.get(path).content.decode()
    assert "I hereby withdraw from the contract" in page and "Confirm the withdrawal" in page
    assert not ChangeRequest.objects.exists()


def test_confirming_keeps_the_moment_and_tells_both_once(client, order):
    path = visit(client, order)
    for _ in range(2):
        page = client.post(path, follow=True).content.decode()
    assert "You withdrew from the contract on 5 August 2026, 12:00 CEST" in page
    assert ChangeRequest.objects.get().asked_at.isoformat() == "2026-08-05T10:00:00+00:00"
    mail = OutboxMessage.objects.get(name="withdrawal_received")
    assert mail.recipient == order.email
    assert "I hereby withdraw from the contract" in mail.text and "5 August 2026, 12:00 CEST" in mail.text
    assert OutboxMessage.objects.filter(name="change_asked").count() == 1
    assert "Confirm the withdrawal" not in client.get(path).content.decode()


def test_the_artist_answers_it_and_the_money_is_owed(client, order):
    client.post(visit(client, order))
    answer_change(
        request=ChangeRequest.objects.get(), state="done", answer="Send it to the studio.", cancels=True, now=NOW
    )
    assert Pledge.objects.get(pk=order.pk).state == "cancelled"
    assert order.refunds.get().amount_minor == order.total_minor


@pytest.mark.parametrize(("address", "is_offered"), [(LONDON_ADDRESS, True), (BOSTON_ADDRESS, False)], ids=["UK", "US"])
def test_it_is_offered_where_the_rules_have_it(client, show, clock, address, is_offered):
    pledge = posted(show, address)
    clock.move_to("2026-08-05T10:00:00+00:00")
    path = visit(client, pledge)
    assert (path in client.get(f"/my/{pledge.code}/").content.decode()) == is_offered
    client.post(path)
    assert ChangeRequest.objects.exists() == is_offered


def test_nobody_withdraws_for_somebody_else_or_from_a_gift(client, show, clock, order):
    other, gift = posted(show, BERLIN_ADDRESS), place(show, copies=0, now=NOW)
    path = visit(client, order)
    assert client.post(path.replace(order.code, other.code)).status_code == 403
    client.post(visit(client, gift))
    assert not ChangeRequest.objects.exists()
