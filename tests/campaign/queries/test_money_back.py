"""Wall money after endings: what went back is a line of its own, and prints made for ended orders cost."""

from campaign.models import Copy, Waiter
from campaign.queries.money import read_money
from campaign.services.pledges import cancel_pledge
from campaign.services.refunds import give_back
from tests.builders import NOW, make_show, pay, place

MAKE = 420


def lines(show):
    return {line.text: line.amount_minor for line in read_money(show).in_hand.lines}


def test_what_went_back_of_a_paid_order_stands_on_its_own_line(show):
    pledge = place(show)
    pay(pledge, amount_minor=pledge.total_minor + 700)
    before = read_money(show).in_hand.total_minor
    give_back(pledge=pledge, key="g", amount_minor=700, way="cash", happened_on=NOW.date(), now=NOW)
    found = lines(show)
    assert found["Received for orders and gifts"] == pledge.total_minor + 700
    assert found["Given back to their backers"] == -700
    assert read_money(show).in_hand.total_minor == before


def test_part_of_a_paid_order_given_back_lowers_wall_money(show):
    pledge = place(show)
    pay(pledge)
    before = read_money(show).in_hand.total_minor
    give_back(pledge=pledge, key="g", amount_minor=500, way="transfer", happened_on=NOW.date(), now=NOW)
    assert read_money(show).in_hand.total_minor == before - 500
    assert read_money(show).owed_back_minor == 0


def test_fees_stay_spent_when_the_order_has_ended(show):
    pledge = place(show, way="transfer")
    pay(pledge, way="card", fee_minor=150, key="card:cs")
    cancel_pledge(pledge=pledge, by_backer=True, now=NOW)
    assert lines(show) == {"Received for orders and gifts": 0, "Fees of bank and payment processor": -150}


def test_a_print_made_for_an_ended_order_costs_until_it_is_ordered_again(db):
    show = make_show(copies=1)
    pledge = place(show)
    pay(pledge)
    Copy.objects.update(is_printed=True)
    cancel_pledge(pledge=pledge, by_backer=True, now=NOW)
    picture = read_money(show)
    assert lines(show)["Prints made for orders that ended"] == -MAKE
    assert picture.in_hand.total_minor == picture.if_paid.total_minor == -MAKE
    again = place(show)
    assert read_money(show).in_hand.total_minor == 0
    pay(again)
    assert "Prints made for orders that ended" not in lines(show)
    assert lines(show)["Making the ordered prints"] == -MAKE


def test_a_print_made_for_an_ended_order_costs_while_it_is_offered_to_the_waiting_list(db):
    show = make_show(copies=1)
    pledge = place(show)
    pay(pledge)
    Copy.objects.update(is_printed=True)
    cancel_pledge(pledge=pledge, by_backer=True, now=NOW)
    waiter = Waiter.objects.create(
        edition=show.editions.get(), name="Wim Wartet", email="wim@example.org", state="offered", asked_at=NOW,
        offer_until_at=NOW,
    )  # fmt: skip
    Copy.objects.update(state="offered", waiter=waiter)
    assert lines(show)["Prints made for orders that ended"] == -MAKE
