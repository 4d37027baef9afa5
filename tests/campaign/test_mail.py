"""Every mail: plain words in both parts, the private link where it belongs, nothing from elsewhere."""

import re
from typing import Any

import pytest
from django.db import transaction

from campaign import mail
from campaign.access import get_pledge_by_news_token, get_pledge_by_token
from campaign.models import OutboxMessage, Pledge, Show, Studio, Update
from campaign.queries.audience import Reader
from tests.builders import LONDON_ADDRESS, NOW, pay, place

pytestmark = pytest.mark.django_db
NASTY = 'Zoë O’Neil & <b>Söhne</b> "x"'


def written(name: str) -> OutboxMessage:
    return OutboxMessage.objects.filter(name=name).latest("pk")


def write_all(pledge: Pledge) -> list[OutboxMessage]:
    """One of every mail about an order."""
    with transaction.atomic():
        return [
            mail.payment_received(pledge=pledge, received_minor=pledge.total_minor, now=NOW),
            mail.hold_reminder(pledge=pledge, now=NOW),
            mail.pledge_lapsed(pledge=pledge, now=NOW),
            mail.pledge_cancelled(pledge=pledge, received_minor=500, now=NOW),
            mail.address_changed(pledge=pledge, friend=None, now=NOW),
            mail.link_again(pledge=pledge, now=NOW),
            written("pledge_placed"),
        ]


@pytest.mark.parametrize("copies", [0, 1, 2])
@pytest.mark.parametrize("way", ["transfer", "cheque", "cash"])
def test_every_mail_is_whole_in_both_parts(show: Show, copies: int, way: str) -> None:
    for message in write_all(place(show, copies=copies, way=way, name=NASTY)):
        assert NASTY in message.text, message.name
        assert "&lt;b&gt;" in message.html and "<b>" not in message.html
        for gap in ("None", "{{", "{%", "  ,", "€€"):
            assert gap not in message.text, (message.name, gap)
        assert "&amp;" not in message.text and "&#" not in message.text and "&quot;" not in message.text
        assert message.subject and "\n" not in message.subject and len(message.subject) <= 120


def test_mails_fetch_nothing_from_anywhere(show: Show) -> None:
    for message in write_all(place(show)):
        assert "<img" not in message.html and "@import" not in message.html and "url(" not in message.html
        addresses = re.findall(r'href="([^"]+)"', message.html)
        assert all(a.startswith(("http://127.0.0.1:8000/", "mailto:studio@example.org")) for a in addresses), addresses


def test_confirmation_says_all_that_was_agreed(show: Show) -> None:
    pledge = place(show, copies=2, address=dict(LONDON_ADDRESS), gift_minor=250)
    message = written("pledge_placed")
    for part in (message.text, message.html):
        for detail in (
            "€90.00", "€11.90", "€2.50", "€104.40", "DE89 3704 0044 0532 0130 00", "20 March 2026, 13:00 CET",
            "31 July 2026", "8 April 2026", "SW1A 2AA", "copies 1 and 2 of 20", "14 days",
        ):  # fmt: skip
            assert detail in part, detail
    token = re.search(r"/m/([^/\s]+)/", message.text)
    assert token and get_pledge_by_token(token[1]) == pledge


def test_too_much_money_is_said_to_be_the_backers(show: Show) -> None:
    pledge = place(show)
    pay(pledge, amount_minor=6_000)
    assert "€60.00 came in, €10.10 more than was asked for" in written("payment_received").text


def test_paid_after_the_close_no_longer_speaks_of_orders_to_come(show: Show) -> None:
    pledge = place(show)
    Show.objects.update(state=Show.State.CLOSED, closed_at=NOW)
    pay(Pledge.objects.get())
    assert "orders are taken until" not in written("payment_received").text
    assert pledge.name in written("payment_received").text


def test_cancelled_without_money_owes_nothing(show: Show) -> None:
    pledge = place(show)
    with transaction.atomic():
        message = mail.pledge_cancelled(pledge=pledge, received_minor=0, now=NOW)
    assert "Nothing was paid, so nothing is owed" in message.text and "€" not in message.text


def make_update(show: Show) -> Update:
    return Update.objects.create(show=show, title="Proofs & such", body="It is *done* <script>.", written_at=NOW)


def test_news_carries_its_one_click_end(show: Show) -> None:
    pledge, update = place(show), make_update(show)
    (message,) = mail.update_news(update=update, readers=[Reader(pledge.email, pledge=pledge)], now=NOW)
    assert message.headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    address: Any = re.fullmatch(r"<http://127\.0\.0\.1:8000/u/([^/]+)/>", message.headers["List-Unsubscribe"])
    assert get_pledge_by_news_token(address[1]) == pledge
    assert address[1] in message.text and address[1] in message.html
    assert message.subject == "Proofs & such" and "Beispielgasse 3" in message.text
    assert "<em>done</em>" in message.html and "<script>" not in message.html


def test_trial_goes_to_the_studio_and_says_so(show: Show) -> None:
    with transaction.atomic():
        message = mail.update_trial(update=make_update(show), now=NOW)
    assert message.recipient == Studio.objects.get().email
    assert message.subject.startswith("Trial: ") and "List-Unsubscribe" not in message.headers
    assert "/u/" not in message.text
