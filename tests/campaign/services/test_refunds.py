"""Sums that go back: how they are shared out, settled once, called off, failed; never more than came."""

from datetime import timedelta

import pytest

from campaign.errors import MoreThanReceived, NotInThisState
from campaign.models import Account, BankLine, BankStatement, CardPayment, CashEntry, OutboxMessage, Refund
from campaign.queries.money import read_money, received_for
from campaign.services import payments, pledges, refunds
from campaign.services.owing import promised_back, still_free
from tests.builders import NOW, pay, place

State = Refund.State
DAY = NOW.date()


def owe(pledge, amount_minor, key="k", reason="Asked for it"):
    return refunds.owe_refund(pledge=pledge, amount_minor=amount_minor, key=key, reason=reason, now=NOW)


def sums(rows):
    return [(row.way, row.amount_minor) for row in rows]


def test_a_sum_goes_back_the_way_it_came(show):
    pledge = place(show)
    pay(pledge)
    assert sums(owe(pledge, pledge.total_minor)) == [("transfer", pledge.total_minor)]
    assert still_free(pledge) == 0


def test_a_sum_is_shared_over_the_ways_the_newest_money_first(show):
    pledge = place(show, copies=2)
    pay(pledge, amount_minor=3_000, way="cheque")
    pay(pledge, amount_minor=2_000, way="cash")
    pay(pledge, amount_minor=1_000, way="transfer")
    assert sums(owe(pledge, 2_500)) == [("transfer", 1_000), ("cash", 1_500)]
    assert sums(owe(pledge, 1_500, key="k2")) == [("cash", 500), ("cheque", 1_000)]
    with pytest.raises(MoreThanReceived) as refused:
        owe(pledge, 2_001, key="k3")
    assert refused.value.left_minor == 2_000
    assert Refund.objects.count() == 4


def test_the_same_sum_owed_twice_is_owed_once(show):
    pledge = place(show)
    pay(pledge, amount_minor=1_000, way="cash")
    pay(pledge, amount_minor=1_000)
    first = owe(pledge, 2_000)
    assert owe(pledge, 2_000) == first
    assert len(first) == 2


def test_corrected_payments_are_not_given_back(show):
    pledge = place(show)
    pay(pledge, amount_minor=1_000, key="wrong")
    pay(pledge, amount_minor=900, way="cash")
    payments.correct_entry(entry=CashEntry.objects.get(key="payment:wrong"), reason="not ours", now=NOW)
    assert sums(owe(pledge, 900)) == [("cash", 900)]


def test_money_given_back_another_way_counts_against_the_oldest(show):
    pledge = place(show)
    pay(pledge, amount_minor=1_000, way="cheque")
    pay(pledge, amount_minor=1_000, way="transfer")
    payments.record_refund(pledge=pledge, key="r", amount_minor=400, way="cash", happened_on=DAY, now=NOW)
    assert sums(owe(pledge, 1_600)) == [("transfer", 1_000), ("cheque", 600)]


def test_card_money_remembers_its_payment_and_transfers_their_account(show):
    pledge = place(show, copies=2)
    card = CardPayment.objects.create(
        pledge=pledge, amount_minor=2_000, currency="EUR", session_id="cs_1", created_at=NOW, state="paid"
    )
    pay(pledge, amount_minor=2_000, way="card", key="card:cs_1")
    pay(pledge, amount_minor=700, key="bank:x")
    statement = BankStatement.objects.create(show=show, format="csv", file_name="a.csv", sha256="0" * 64, read_at=NOW)
    BankLine.objects.create(
        statement=statement, line_hash="1" * 64, booked_on=DAY, amount_minor=700, currency="EUR", state="booked",
        party_name="Ben Example", party_iban="DE02120300000000202051", settled_at=NOW, pledge=pledge,
        entry=CashEntry.objects.get(key="payment:bank:x"),
    )  # fmt: skip
    transfer, by_card = owe(pledge, 2_200)
    assert (transfer.iban, transfer.account_holder, transfer.amount_minor) == (
        "DE02120300000000202051", "Ben Example", 700,
    )  # fmt: skip
    assert (by_card.card_payment, by_card.amount_minor) == (card, 1_500)


def test_a_settled_sum_is_booked_once_and_told_once(show):
    pledge = place(show)
    pay(pledge)
    pledges.cancel_pledge(pledge=pledge, by_backer=True, now=NOW)
    refund = Refund.objects.get()
    for _ in range(2):
        done = refunds.settle_refund(refund=refund, happened_on=DAY, now=NOW)
    assert (done.state, done.entry.key, done.done_at) == (State.DONE, f"refund:{refund.key}", NOW)
    assert (done.entry.debit, done.entry.credit) == (Account.REFUNDS, Account.BANK)
    assert received_for(pledge) == 0
    told = OutboxMessage.objects.get(name="refund_made")
    assert "€" in told.subject
    assert "The order was cancelled" in told.text


def test_a_sum_may_go_another_way_than_planned(show):
    pledge = place(show, way="cheque")
    pay(pledge)
    (refund,) = owe(pledge, 500)
    done = refunds.settle_refund(refund=refund, happened_on=DAY, now=NOW, way="transfer")
    assert (done.way, done.entry.credit) == ("transfer", Account.BANK)


def test_a_sum_with_the_processor_goes_no_other_way(show):
    pledge = place(show)
    pay(pledge, way="card", key="card:cs_2")
    (refund,) = owe(pledge, 500)
    Refund.objects.update(state=State.SENDING)
    with pytest.raises(NotInThisState):
        refunds.settle_refund(refund=refund, happened_on=DAY, now=NOW, way="transfer")
    with pytest.raises(NotInThisState):
        refunds.call_off_refund(refund=refund, reason="x", now=NOW)
    assert refunds.settle_refund(refund=refund, happened_on=DAY, now=NOW).entry.credit == Account.PROCESSOR


def test_a_sum_called_off_goes_nowhere_and_stays_received(show):
    pledge = place(show)
    pay(pledge)
    (refund,) = owe(pledge, 500)
    for _ in range(2):
        assert refunds.call_off_refund(refund=refund, reason="She gives it.", now=NOW).state == State.CALLED_OFF
    with pytest.raises(NotInThisState):
        refunds.settle_refund(refund=refund, happened_on=DAY, now=NOW)
    with pytest.raises(NotInThisState):
        refunds.retry_refund(refund=refund, now=NOW)
    with pytest.raises(NotInThisState):
        refunds.set_refund_account(refund=refund, iban="", account_holder="")
    assert received_for(pledge) == pledge.total_minor


def test_a_failed_sum_waits_for_the_artist(show):
    pledge = place(show)
    pay(pledge, way="card", key="card:cs_3")
    (refund,) = owe(pledge, 500)
    waiting = refunds.fail_refund(refund=refund, error="429", is_final=False, now=NOW)
    assert (waiting.state, waiting.last_error) == (State.OWED, "429")
    assert waiting.lease_until_at > NOW
    failed = refunds.fail_refund(refund=refund, error="card closed", is_final=True, now=NOW)
    assert (failed.state, failed.lease_until_at) == (State.FAILED, None)
    again = refunds.retry_refund(refund=refund, now=NOW)
    assert (again.state, again.attempts, again.last_error) == (State.OWED, 0, "")
    assert refunds.retry_refund(refund=refund, now=NOW) == again


def test_what_is_done_does_not_fail_afterwards(show):
    pledge = place(show)
    pay(pledge)
    (refund,) = owe(pledge, 500)
    refunds.settle_refund(refund=refund, happened_on=DAY, now=NOW)
    assert refunds.fail_refund(refund=refund, error="late", is_final=True, now=NOW).state == State.DONE


def give(pledge, amount_minor, key="g"):
    return refunds.give_back(pledge=pledge, key=key, amount_minor=amount_minor, way="cash", happened_on=DAY, now=NOW)


def test_money_given_by_hand_takes_the_place_of_what_was_owed(show):
    pledge = place(show)
    pay(pledge)
    pledges.cancel_pledge(pledge=pledge, by_backer=False, now=NOW)
    for _ in range(2):
        given = give(pledge, 2_000)
    assert (given.state, given.way) == (State.DONE, "cash")
    assert promised_back(pledge) == received_for(pledge) == pledge.total_minor - 2_000
    assert sorted(Refund.objects.values_list("state", flat=True)) == ["called_off", "done", "owed"]
    assert read_money(show).owed_back_minor == pledge.total_minor - 2_000


def test_no_more_is_given_by_hand_than_came(show):
    pledge = place(show)
    pay(pledge, amount_minor=500)
    with pytest.raises(NotInThisState):
        give(pledge, 501)
    assert not Refund.objects.exists()


def test_nothing_is_given_by_hand_while_the_processor_has_it(show):
    pledge = place(show)
    pay(pledge)
    owe(pledge, pledge.total_minor)
    Refund.objects.update(state=State.SENDING)
    with pytest.raises(NotInThisState):
        give(pledge, 1)
    assert received_for(pledge) == pledge.total_minor


def test_a_payment_that_was_wrong_is_not_owed_any_more(show):
    pledge = place(show)
    pay(pledge, key="p")
    pledges.cancel_pledge(pledge=pledge, by_backer=False, now=NOW)
    payments.correct_entry(entry=CashEntry.objects.get(), reason="another order", now=NOW)
    assert promised_back(pledge) == received_for(pledge) == 0
    assert Refund.objects.get().state == State.CALLED_OFF


def test_a_payment_cannot_be_undone_while_its_money_is_on_its_way_back(show):
    pledge = place(show)
    pay(pledge, key="p")
    owe(pledge, pledge.total_minor)
    Refund.objects.update(state=State.SENDING)
    with pytest.raises(NotInThisState):
        payments.correct_entry(entry=CashEntry.objects.get(), reason="another order", now=NOW)
    assert CashEntry.objects.count() == 1


def test_money_that_came_back_is_owed_again(show):
    pledge = place(show)
    pay(pledge)
    pledges.cancel_pledge(pledge=pledge, by_backer=False, now=NOW)
    done = refunds.settle_refund(refund=Refund.objects.get(), happened_on=DAY, now=NOW)
    payments.correct_entry(entry=done.entry, reason="wrong account", now=NOW)
    assert promised_back(pledge) == pledge.total_minor
    assert Refund.objects.filter(state=State.OWED).get().reason == "Did not arrive: wrong account"


def test_money_for_an_ended_order_is_owed_back_as_it_comes(show):
    pledge = place(show)
    pay(pledge, amount_minor=1_000)
    pledges.cancel_pledge(pledge=pledge, by_backer=False, now=NOW)
    late = NOW + timedelta(days=3)
    for _ in range(2):
        pay(pledge, amount_minor=600, key="late", now=late)
    assert sums(Refund.objects.all()) == [("transfer", 1_000), ("transfer", 600)]
