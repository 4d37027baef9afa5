from campaign.services.payments import record_other_money, record_refund
from campaign.services.pledges import cancel_pledge
from fulfilment.queries.settling import list_owed_back, read_settle
from tests.builders import NOW, pay, place
from tests.fulfilment.scene import close, order


def test_balances_come_from_the_cash_book(show):
    pledge = order(show)
    record_other_money(show=show, key="1", kind="cost", amount_minor=700, happened_on=NOW.date(), text="Cards", now=NOW)
    picture = read_settle(show)
    assert picture.balances.came_minor == pledge.total_minor
    assert picture.balances.went_minor == 700
    assert picture.balances.held_minor == pledge.total_minor - 700
    assert (picture.entries, picture.owed, picture.fixed_cost_minor) == (2, (), None)


def test_the_cost_of_the_fixed_plan_stands_beside_the_wall_money(show):
    order(show)
    close(show)
    assert read_settle(show).fixed_cost_minor == show.fixed_plan.cost_minor


def test_money_of_cancelled_orders_and_what_is_too_much_goes_back(show):
    cancelled, over, held = order(show), place(show), place(show)
    cancel_pledge(pledge=cancelled, by_backer=True, now=NOW)
    pay(over, amount_minor=over.total_minor + 250)
    pay(held, amount_minor=100)
    owed = [(one.pledge.pk, one.amount_minor) for one in list_owed_back(show)]
    assert owed == [(cancelled.pk, cancelled.total_minor), (over.pk, 250)]
    picture = read_settle(show)
    assert picture.owed_minor == picture.money.owed_back_minor == cancelled.total_minor + 250


def test_what_was_given_back_is_owed_no_more(show):
    pledge = order(show)
    cancel_pledge(pledge=pledge, by_backer=True, now=NOW)
    record_refund(pledge=pledge, key="r", amount_minor=1_000, way="transfer", happened_on=NOW.date(), now=NOW)
    assert [one.amount_minor for one in list_owed_back(show)] == [pledge.total_minor - 1_000]
    rest = pledge.total_minor - 1_000
    record_refund(pledge=pledge, key="s", amount_minor=rest, way="transfer", happened_on=NOW.date(), now=NOW)
    assert list_owed_back(show) == ()
