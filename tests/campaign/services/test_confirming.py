"""Backers are asked twice at most whether their prints go to the right place; their yes is about what they read."""

from datetime import date, timedelta

import pytest

from campaign.errors import NotReady, TooLateToChange
from campaign.models import OutboxMessage, Pledge, Show
from campaign.queries.basket import LineWish
from campaign.queries.destinations import print_of_destinations
from campaign.services import confirming
from campaign.services.checks.mails import check_mails
from campaign.services.destinations import change_address, change_friend_address
from campaign.services.pledges import cancel_pledge
from tests.builders import BERLIN_ADDRESS, LONDON_ADDRESS, NOW, pay, place

pytestmark = pytest.mark.django_db
UNTIL = date(2026, 3, 24)
MINUTE, DAY = timedelta(minutes=1), timedelta(days=1)
HAMBURG = {**BERLIN_ADDRESS, "street_address": "Beispielufer 9", "postal_code": "20095", "city": "Hamburg"}


@pytest.fixture
def paid(show: Show) -> Pledge:
    pledge = place(show)
    pay(pledge)
    return pledge


def ask(show: Show) -> None:
    confirming.ask_for_addresses(show=show, until_on=UNTIL, now=NOW)


def mails(name: str) -> list[OutboxMessage]:
    return list(OutboxMessage.objects.filter(name=name))


def test_who_paid_is_asked_once_after_a_minute_with_address_and_link(show: Show, paid: Pledge) -> None:
    place(show)  # not paid
    pay(place(show, copies=0))  # no print
    ask(show)
    assert confirming.ask_due_orders(now=NOW) == 0  # it can still be called off
    assert [confirming.ask_due_orders(now=NOW + MINUTE) for _ in range(2)] == [1, 0]
    [message] = mails("confirm_address")
    assert message.recipient == paid.email
    assert BERLIN_ADDRESS["street_address"] in message.text and "24 March 2026" in message.text
    assert "Your order’s own page:\nhttp" in message.text
    assert check_mails().difference is None


def test_several_prints_and_addresses_are_asked_for_as_several(show: Show, paid: Pledge) -> None:
    pay(place(show, lines=(LineWish("harbour", 1), LineWish("harbour", 1, "Bo Sample", dict(LONDON_ADDRESS)))))
    ask(show)
    confirming.ask_due_orders(now=NOW + MINUTE)
    one, several = mails("confirm_address")
    assert one.subject.startswith("Is this where your print should go?")
    assert several.subject.startswith("Is this where your prints should go?")
    for body in (several.text, several.html):
        assert "Without an answer everything goes to the addresses above." in body
    assert "Without an answer it goes to the address above." in one.text


def test_nobody_is_told_to_cancel_until_a_day_that_is_over(show: Show, paid: Pledge) -> None:
    ask(show)
    confirming.ask_due_orders(now=NOW + MINUTE)
    Show.objects.filter(pk=show.pk).update(cancel_until_on=NOW.date())
    confirming.remind_due_orders(now=NOW.replace(day=UNTIL.day - 1))
    [asked], [reminded] = mails("confirm_address"), mails("confirm_address_again")
    for body in (asked.text, asked.html):
        assert "and cancel until the end of" in body
    for body in (reminded.text, reminded.html):
        assert "change the address until the printing has ended" in body and "cancel" not in body


def test_who_pays_later_is_asked_then_and_nobody_after_the_day(show: Show) -> None:
    ask(show)
    pay(place(show))
    assert confirming.ask_due_orders(now=NOW + DAY) == 1
    pay(place(show))
    assert confirming.ask_due_orders(now=NOW + timedelta(days=30)) == 0


def test_the_silent_are_reminded_once_three_days_before(show: Show, paid: Pledge) -> None:
    pay(other := place(show))
    ask(show)
    confirming.ask_due_orders(now=NOW + MINUTE)
    confirming.confirm_address(pledge=other, seen=print_of_destinations(other), now=NOW + MINUTE)
    early, soon = (NOW.replace(day=UNTIL.day - before) for before in (4, 3))
    assert [confirming.remind_due_orders(now=now) for now in (early, soon, soon)] == [0, 1, 0]
    assert [one.recipient for one in mails("confirm_address_again")] == [paid.email]


def test_who_is_asked_near_the_day_is_not_reminded_the_same_day(show: Show, paid: Pledge) -> None:
    confirming.ask_for_addresses(show=show, until_on=NOW.date() + 2 * DAY, now=NOW)
    confirming.ask_due_orders(now=NOW + MINUTE)
    assert confirming.remind_due_orders(now=NOW + 2 * MINUTE) == 0
    assert confirming.remind_due_orders(now=NOW + DAY + MINUTE) == 1


def test_called_off_in_the_minute_nobody_is_asked(show: Show, paid: Pledge) -> None:
    ask(show)
    assert [confirming.call_off_asking(show=show) for _ in range(2)] == [0, 0]
    assert confirming.ask_due_orders(now=NOW + MINUTE) == 0
    ask(show)  # and it can begin anew
    assert confirming.ask_due_orders(now=NOW + MINUTE) == 1


def test_moving_the_day_asks_nobody_twice(show: Show, paid: Pledge) -> None:
    ask(show)
    confirming.ask_due_orders(now=NOW + MINUTE)
    confirming.ask_for_addresses(show=show, until_on=UNTIL + DAY, now=NOW + DAY)
    assert confirming.ask_due_orders(now=NOW + DAY) == 0


@pytest.mark.parametrize("until_on", [NOW.date(), NOW.date() - DAY])
def test_a_day_that_is_over_is_refused(show: Show, until_on: date) -> None:
    with pytest.raises(NotReady, match="still to come"):
        confirming.ask_for_addresses(show=show, until_on=until_on, now=NOW)


def test_not_asked_once_printing_has_ended(show: Show) -> None:
    Show.objects.filter(pk=show.pk).update(state="printed", closed_at=NOW)
    with pytest.raises(NotReady, match="printing has not ended"):
        ask(show)


def test_the_first_yes_counts_and_is_about_what_was_read(show: Show, paid: Pledge) -> None:
    seen = print_of_destinations(paid)
    for later in (0, 1):
        confirming.confirm_address(pledge=paid, seen=seen, now=NOW + later * DAY)
    assert Pledge.objects.get().address_confirmed_at == NOW
    Pledge.objects.update(address=HAMBURG)
    with pytest.raises(NotReady, match="changed meanwhile"):
        confirming.confirm_address(pledge=paid, seen=seen, now=NOW)


def test_an_order_that_has_ended_is_not_confirmed(show: Show, paid: Pledge) -> None:
    cancel_pledge(pledge=paid, by_backer=False, now=NOW)
    with pytest.raises(TooLateToChange):
        confirming.confirm_address(pledge=paid, seen=print_of_destinations(paid), now=NOW)


def test_what_the_backer_types_is_confirmed_by_typing_it(show: Show, paid: Pledge) -> None:
    change_address(pledge=paid, name="Kim Sample", address=HAMBURG, now=NOW)
    assert Pledge.objects.get().address_confirmed_at == NOW
    ask(show)
    assert confirming.ask_due_orders(now=NOW + MINUTE) == 0


def test_an_address_where_nothing_goes_confirms_nothing(show: Show) -> None:
    pay(pledge := place(show, lines=(LineWish("harbour", 1, "Bo Sample", dict(LONDON_ADDRESS)),)))
    change_address(pledge=pledge, name="Kim Sample", address=HAMBURG, now=NOW)
    assert Pledge.objects.get().address_confirmed_at is None
    moved = {**LONDON_ADDRESS, "street_address": "12 Example Mews"}
    change_friend_address(pledge=pledge, number=1, name="Bo Sample", address=moved, now=NOW)
    assert Pledge.objects.get().address_confirmed_at == NOW


def test_of_two_destinations_a_new_one_leaves_both_to_be_read(show: Show) -> None:
    lines = (LineWish("harbour", 1), LineWish("harbour", 1, "Bo Sample", dict(LONDON_ADDRESS)))
    pay(pledge := place(show, lines=lines))
    confirming.confirm_address(pledge=pledge, seen=print_of_destinations(pledge), now=NOW)
    moved = {**LONDON_ADDRESS, "street_address": "12 Example Mews"}
    change_friend_address(pledge=pledge, number=1, name="Bo Sample", address=moved, now=NOW)
    assert Pledge.objects.get().address_confirmed_at is None
