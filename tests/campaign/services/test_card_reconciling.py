"""Comparing with the processor's own lists: what no message told of is mended, what differs is said."""

from datetime import timedelta

import pytest

from campaign import processor
from campaign.models import CardPayment, Reconciliation, Refund
from campaign.processor import Away
from campaign.queries.cards import read_last_payout_on, read_payout_days
from campaign.queries.money import read_balances, received_for
from campaign.queries.schedule import read_schedule
from campaign.queries.standing import read_standing
from campaign.services.card_reconciling import (
    ask_for_reconciliation,
    look_after_payments,
    reconcile,
    reconcile_due,
)
from campaign.services.card_refunds import send_due_refunds
from campaign.services.cards import begin_card_payment
from campaign.services.owing import owe_refund
from campaign.services.pledges import cancel_pledge
from tests.builders import NOW, make_draft, place


@pytest.fixture
def show(db):
    return make_draft(state="open")


def begin(pledge, *, now=NOW):
    return begin_card_payment(pledge=pledge, success_url="http://a.example/s", cancel_url="http://a.example/c", now=now)


def compare(*, now=NOW):
    return reconcile(run=ask_for_reconciliation(now=now), now=now)


@pytest.fixture
def payments(show, stand_in):
    """Three begun payments; two are paid, and no message ever came."""
    begun = [begin(place(show, way="card")) for _ in range(3)]
    for payment in begun[:2]:
        stand_in.pay(payment.session_id)
    return begun


def test_payments_of_which_no_message_came_are_booked_and_said(payments, stand_in, show):
    run = compare()
    assert run.finished_at == NOW
    assert (run.payments, len(run.mended), run.differences) == (3, 2, [])
    assert [received_for(payment.pledge) for payment in payments] == [4_990, 4_990, 0]
    assert read_balances(show)["processor"] == stand_in.balance()
    again = compare()
    assert (again.mended, again.differences) == ([], [])


def test_everything_else_is_mended_too(payments, stand_in, show):
    compare()
    first, second, third = payments
    first.refresh_from_db()
    second.refresh_from_db()
    stand_in._refund({"payment_intent": first.payment_id, "amount": "500"})
    stand_in.dispute(second.payment_id)
    stand_in.expire(third.session_id)
    stand_in.pay_out()
    run = compare()
    assert any("begun at the processor" in sentence for sentence in run.mended)
    assert any("ended unpaid" in sentence for sentence in run.mended)
    assert any("was paid out" in sentence for sentence in run.mended)
    [difference] = run.differences
    assert "contests €49.90" in difference and "Answer it at the processor by 17 March 2026" in difference
    assert read_balances(show)["processor"] == stand_in.balance() == 0
    assert compare().mended == []


def test_what_the_processor_does_not_have_is_said(payments, stand_in):
    compare()
    del stand_in.sessions[payments[0].session_id]
    [sentence] = compare().differences
    assert payments[0].pledge.code in sentence and "no such page" in sentence


def test_a_payment_for_an_order_of_nobody_is_said(payments, stand_in):
    session = stand_in.sessions[payments[0].session_id]
    session |= {"client_reference_id": "GONE", "metadata": {"wallful_payment": "no-such-key"}}
    CardPayment.objects.filter(pk=payments[0].pk).delete()
    assert any("not in our books (GONE)" in sentence for sentence in compare().differences)


def test_pages_of_others_on_the_same_account_are_no_difference(payments, stand_in):
    for session in stand_in.sessions.values():
        session["metadata"] = {}
    CardPayment.objects.all().delete()
    run = compare()
    assert (run.payments, run.mended, run.differences) == (0, [], [])


def test_a_call_that_was_lost_is_looked_for_once_its_key_is_old(show, stand_in):
    stand_in.fail_next("timeout")
    with pytest.raises(Away):
        begin(place(show, way="card"))
    later = NOW + timedelta(hours=25)
    compare(now=later)
    assert CardPayment.objects.get().state == "open", "the list had it"
    CardPayment.objects.update(state="wanted", session_id="")
    stand_in.sessions.clear()
    compare(now=later)
    assert CardPayment.objects.get().state == "failed"


def test_a_refund_whose_answer_was_lost_is_found_in_the_list(payments, stand_in):
    compare()
    payment = payments[0]
    [refund] = owe_refund(pledge=payment.pledge, amount_minor=900, key="r", reason="Asked for", now=NOW)
    stand_in.fail_next("", "timeout")
    send_due_refunds(now=NOW)
    compare()
    refund.refresh_from_db()
    assert refund.state == Refund.State.DONE
    assert send_due_refunds(now=NOW + timedelta(hours=1)) == 0
    assert len(stand_in.refunds) == 1


def test_long_lists_are_read_to_their_end(show, stand_in):
    payment = begin(place(show, way="card"))
    session = stand_in.sessions.pop(payment.session_id)
    for number in range(250):
        stand_in.sessions[f"cs_{number}"] = session | {"id": f"cs_{number}", "metadata": {}}
    stand_in.sessions = {payment.session_id: session} | stand_in.sessions
    assert len(processor.list_sessions(since=NOW - timedelta(days=1))) == 251
    stand_in.pay(payment.session_id)
    assert len(compare().mended) == 1


def test_a_comparison_that_is_cut_short_is_taken_up_again(payments, stand_in):
    ask_for_reconciliation(now=NOW)
    stand_in.fail_next("", "reset")
    assert reconcile_due(now=NOW) == 0
    run = Reconciliation.objects.get()
    assert run.finished_at is None and "not reached" in run.last_error
    assert reconcile_due(now=NOW) == 0, "not at once"
    assert reconcile_due(now=NOW + timedelta(minutes=2)) == 1
    assert received_for(payments[0].pledge) == 4_990


def test_two_workers_do_not_compare_at_once(payments):
    ask_for_reconciliation(now=NOW)
    Reconciliation.objects.update(lease_until_at=NOW + timedelta(minutes=1))
    assert reconcile_due(now=NOW) == 0


def test_pages_that_stand_open_are_looked_at_without_any_message(payments, stand_in):
    assert look_after_payments(now=NOW + timedelta(minutes=5)) == 0, "messages have their time first"
    soon = NOW + timedelta(minutes=16)
    assert look_after_payments(now=soon) == 3
    assert received_for(payments[0].pledge) == 4_990
    assert look_after_payments(now=soon) == 0
    assert look_after_payments(now=soon + timedelta(minutes=16)) == 1, "the one that is still open"


def test_a_fee_that_was_not_known_is_asked_for_later(payments, stand_in, show):
    stand_in.fee_is_late = True
    payment_id = stand_in.pay(payments[2].session_id)
    compare()
    before = read_balances(show)["fees"]
    charge = stand_in.charge_of(payment_id)
    charge["balance_transaction"] = next(m["id"] for m in stand_in.moves.values() if m["source"] == charge["id"])
    look_after_payments(now=NOW + timedelta(hours=2))
    assert read_balances(show)["fees"] == before + 100


def test_the_processors_dates_feed_the_schedule(payments, show):
    assert read_last_payout_on(show) is None
    compare()
    assert read_last_payout_on(show) == (NOW + timedelta(days=2)).date()
    show.refresh_from_db()
    days = read_schedule(read_standing(show), today_on=NOW.date(), basis="paid")[0].days
    assert days.payout_days == show.payout_days, "orders go on: what was set holds for those to come"
    show.state, show.closed_at, show.payout_days = "closed", NOW, 14
    show.save()
    assert read_payout_days(show) == 14, "one may still pay"
    cancel_pledge(pledge=payments[2].pledge, by_backer=False, now=NOW)
    schedule = read_schedule(read_standing(show), today_on=NOW.date(), basis="paid")[0]
    assert schedule.days.payout_days == 2, "everything is paid, and the processor has said when it comes"
