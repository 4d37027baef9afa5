"""Payments, refunds, other money and corrections: what the cash book says afterwards."""

import pytest
from django.db import IntegrityError, connection, transaction

from campaign.errors import BookedOtherwise, NotInThisState
from campaign.models import Account, CashEntry, Copy, OutboxMessage, Pledge
from campaign.queries.money import read_balances, read_money, received_for
from campaign.services import payments, pledges
from campaign.services.payments import Outcome
from tests.builders import NOW, make_show, pay, place

State = Pledge.State


def test_full_payment_makes_the_copies_spoken_for(show):
    pledge = place(show, copies=2)
    receipt = pay(pledge)
    pledge.refresh_from_db()
    assert receipt.outcome == Outcome.PAID
    assert pledge.state == State.PAID
    assert pledge.paid_at == NOW
    assert set(pledge.held_copies.values_list("state", flat=True)) == {Copy.State.SPOKEN_FOR}
    assert OutboxMessage.objects.filter(name="payment_received").count() == 1


def test_part_payments_add_up(show):
    pledge = place(show)
    receipt = pay(pledge, amount_minor=2_000)
    assert (receipt.outcome, receipt.missing_minor) == (Outcome.PART, pledge.total_minor - 2_000)
    assert pay(pledge, amount_minor=receipt.missing_minor).outcome == Outcome.PAID


def test_too_much_money_is_told_and_shown_as_owed_back(show):
    pledge = place(show)
    assert pay(pledge, amount_minor=pledge.total_minor + 700).outcome == Outcome.OVER
    picture = read_money(show)
    assert picture.owed_back_minor == 700
    assert picture.in_hand.lines[0].amount_minor == pledge.total_minor


def test_the_same_payment_twice_is_booked_once(show):
    pledge = place(show)
    first = pay(pledge, key="abc")
    second = pay(pledge, key="abc")
    assert first == second
    assert CashEntry.objects.count() == 1


def test_a_fee_is_booked_beside_its_payment(show):
    pledge = place(show)
    pay(pledge, fee_minor=120)
    balances = read_balances(show)
    assert balances[Account.FEES] == 120
    assert balances[Account.BANK] == pledge.total_minor - 120
    assert sum(balances.values()) == 0


@pytest.mark.parametrize(("way", "account"), [("cheque", Account.CHEQUES), ("cash", Account.CASH)])
def test_money_arrives_where_its_way_leads(show, way, account):
    pledge = place(show, way=way)
    pay(pledge)
    assert read_balances(show)[account] == pledge.total_minor


@pytest.mark.parametrize("amount_minor", [0, -5])
def test_nothing_is_no_payment(show, amount_minor):
    with pytest.raises(ValueError, match="more than nothing"):
        pay(place(show), amount_minor=amount_minor)


def test_late_money_takes_copies_again_while_there_are_some(show):
    pledge = place(show)
    pledges.lapse_due_holds(now=pledge.hold_until_at.replace(year=2027))
    place(show)  # copy 1 has gone to somebody else meanwhile
    assert pay(pledge).outcome == Outcome.PAID
    assert list(pledge.held_copies.values_list("number", flat=True)) == [2]


def test_late_money_without_a_free_copy_is_booked_and_owed_back(db):
    show = make_show(copies=1)
    pledge = place(show)
    pledges.lapse_due_holds(now=pledge.hold_until_at.replace(year=2027))
    place(show)
    assert pay(pledge).outcome == Outcome.OWED_BACK
    pledge.refresh_from_db()
    assert pledge.state == State.LAPSED
    assert read_money(show).owed_back_minor == pledge.total_minor
    assert not OutboxMessage.objects.filter(name="payment_received").exists()


def test_a_cancelled_paid_order_is_owed_back_until_refunded(show):
    pledge = place(show)
    pay(pledge)
    pledges.cancel_pledge(pledge=pledge, by_backer=True, now=NOW)
    assert read_money(show).owed_back_minor == pledge.total_minor
    assert read_money(show).in_hand.total_minor == 0
    for _ in range(2):
        payments.record_refund(
            pledge=pledge, key="r1", amount_minor=pledge.total_minor, way="transfer", happened_on=NOW.date(), now=NOW
        )
    assert read_money(show).owed_back_minor == 0
    assert received_for(pledge) == 0
    assert CashEntry.objects.filter(debit=Account.REFUNDS).count() == 1


def test_no_more_goes_back_than_came(show):
    pledge = place(show)
    pay(pledge, amount_minor=500)
    with pytest.raises(NotInThisState):
        payments.record_refund(
            pledge=pledge, key="r1", amount_minor=501, way="transfer", happened_on=NOW.date(), now=NOW
        )


@pytest.mark.parametrize(("kind", "sign"), [("own", 1), ("sponsor", 1), ("grant", 1), ("cost", -1)])
def test_other_money_moves_wall_money(show, kind, sign):
    for _ in range(2):
        payments.record_other_money(
            show=show, key="k", kind=kind, amount_minor=5_000, happened_on=NOW.date(), text="x", now=NOW
        )
    assert read_money(show).in_hand.total_minor == sign * 5_000


def test_a_correction_mirrors_its_entry_once(show):
    pay(place(show))
    entry = CashEntry.objects.get()
    first = payments.correct_entry(entry=entry, reason="wrong order", now=NOW)
    assert payments.correct_entry(entry=entry, reason="again", now=NOW) == first
    assert sum(read_balances(show).values()) == 0
    assert read_balances(show)[Account.BANK] == 0
    assert received_for(entry.pledge) == 0


def test_an_undone_refund_that_completes_an_order_pays_it(show):
    pledge = place(show)
    pay(pledge, amount_minor=pledge.total_minor - 100)
    refund = payments.record_refund(
        pledge=pledge, key="r", amount_minor=50, way="transfer", happened_on=NOW.date(), now=NOW
    )
    assert pay(pledge, amount_minor=100).outcome == Outcome.PART
    payments.correct_entry(entry=refund, reason="it never left", now=NOW)
    pledge.refresh_from_db()
    assert pledge.state == Pledge.State.PAID
    assert OutboxMessage.objects.filter(name="payment_received").count() == 1


@pytest.mark.parametrize("statement", ["UPDATE {} SET amount_minor = 1", "DELETE FROM {}"])
def test_the_cash_book_refuses_change(show, statement):
    pay(place(show))
    with pytest.raises(IntegrityError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement.format(CashEntry._meta.db_table))
    assert CashEntry.objects.get().amount_minor > 1


def test_the_same_form_with_another_amount_is_refused_and_books_nothing(show):
    pledge = place(show)
    pay(pledge, key="abc", amount_minor=1_000)
    with pytest.raises(BookedOtherwise):
        pay(pledge, key="abc", amount_minor=2_000)
    assert CashEntry.objects.count() == 1


def test_a_correction_is_not_corrected(show):
    pledge = place(show)
    pay(pledge)
    correction = payments.correct_entry(entry=CashEntry.objects.get(), reason="wrong order", now=NOW)
    with pytest.raises(NotInThisState):
        payments.correct_entry(entry=correction, reason="after all not", now=NOW)
    assert CashEntry.objects.count() == 2
