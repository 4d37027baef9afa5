"""Messages of the card processor: kept once, looked up anew, applied in any order; payouts, disputes, refunds."""

import random
from datetime import timedelta

import pytest

from campaign import processor
from campaign.models import Account, CardPayment, CashEntry, Dispute, Payout, Pledge, ProcessorEvent, Refund
from campaign.processor import BadSignature
from campaign.queries.money import read_balances, received_for
from campaign.services.card_books import settle_session
from campaign.services.card_events import apply_events, take_event
from campaign.services.card_refunds import send_due_refunds
from campaign.services.cards import begin_card_payment
from campaign.services.owing import owe_refund, promised_back
from campaign.services.refunds import retry_refund
from tests.builders import NOW, make_draft, place
from tests.card_stand_in import StandIn


def take(event, **changes):
    body, signature = StandIn.message(event, **changes)
    return take_event(body=body, signature=signature, now=NOW)


def begin(pledge):
    return begin_card_payment(pledge=pledge, success_url="http://a.example/s", cancel_url="http://a.example/c", now=NOW)


def take_all(stand_in):
    for event in stand_in.events:
        take(event)
    return apply_events(now=NOW)


@pytest.fixture
def show(db):
    return make_draft(state="open")


@pytest.fixture
def pledge(show, stand_in):
    return place(show, way="card")


@pytest.fixture
def paid(pledge, stand_in):
    """A payment that is booked."""
    payment = begin(pledge)
    stand_in.pay(payment.session_id)
    take_all(stand_in)
    payment.refresh_from_db()
    assert payment.state == CardPayment.State.PAID
    return payment


def test_a_message_is_kept_once_and_applied_once(pledge, stand_in):
    stand_in.pay(begin(pledge).session_id)
    [event] = stand_in.events
    assert [take(event), take(event), take(event)] == [True, False, False]
    assert CashEntry.objects.count() == 0, "nothing is believed before it is looked up"
    assert [apply_events(now=NOW), apply_events(now=NOW)] == [1, 0]
    row = ProcessorEvent.objects.get()
    assert (row.applied_at, row.is_trouble, row.payment.pledge) == (NOW, False, pledge)
    pledge.refresh_from_db()
    assert pledge.state == Pledge.State.PAID


@pytest.mark.parametrize("changes", [{"secret": "whsec_somebody_else"}, {"age_s": 301}, {"age_s": 90_000}])
def test_forged_and_stale_messages_are_refused(pledge, stand_in, changes):
    stand_in.pay(begin(pledge).session_id)
    with pytest.raises(BadSignature):
        take(stand_in.events[0], **changes)
    assert ProcessorEvent.objects.count() == 0


@pytest.mark.parametrize(
    ("body", "signature"),
    [
        (b"", ""),
        (b"{}", "t=1,v1=2"),
        (b"\xff\xfe", "t=1"),
        (b"{}", "nonsense"),
        (b"{}", "t=x,v1=\xe9"),
        (b"[]", "v1=,"),
    ],
)
def test_what_is_no_message_is_refused(stand_in, body, signature):
    with pytest.raises(BadSignature):
        take_event(body=body, signature=signature, now=NOW)


@pytest.mark.parametrize("thing", [[], "x", 5, {}, {"id": "evt", "type": "checkout.session.completed"}, None])
def test_a_signed_message_of_another_shape_is_refused(stand_in, thing):
    with pytest.raises(BadSignature):
        take(thing)


def test_a_kind_that_does_not_matter_here_is_not_kept(stand_in):
    assert not take(stand_in.tell("customer.created", {"id": "cus_1", "object": "customer"}))
    assert ProcessorEvent.objects.count() == 0


def test_a_message_that_lies_about_the_sum_changes_nothing(pledge, stand_in):
    session = stand_in.sessions[begin(pledge).session_id]
    stand_in.tell("checkout.session.completed", session | {"payment_status": "paid", "amount_total": 1})
    take_all(stand_in)
    assert CashEntry.objects.count() == 0
    assert "not paid yet" in ProcessorEvent.objects.get().outcome


def test_a_message_about_nothing_is_shown_to_the_artist(pledge, stand_in):
    stand_in.tell("checkout.session.completed", {"id": "cs_test_never", "object": "checkout.session"})
    take_all(stand_in)
    row = ProcessorEvent.objects.get()
    assert row.is_trouble
    assert "404" in row.outcome


@pytest.mark.parametrize("kind", ["timeout", "reset", "429", "500"])
def test_a_message_waits_while_the_processor_gives_no_answer(pledge, stand_in, kind):
    stand_in.pay(begin(pledge).session_id)
    take(stand_in.events[0])
    stand_in.fail_next(kind)
    apply_events(now=NOW)
    row = ProcessorEvent.objects.get()
    assert (row.applied_at, row.attempts) == (None, 1)
    assert apply_events(now=NOW) == 0, "it waits a while"
    assert apply_events(now=NOW + timedelta(minutes=1)) == 1
    assert received_for(pledge) == pledge.total_minor


def test_a_worker_that_died_leaves_its_messages_to_another(pledge, stand_in):
    stand_in.pay(begin(pledge).session_id)
    take(stand_in.events[0])
    ProcessorEvent.objects.update(lease_until_at=NOW + timedelta(minutes=2), attempts=1)
    assert apply_events(now=NOW + timedelta(minutes=1)) == 0
    assert apply_events(now=NOW + timedelta(minutes=3)) == 1
    assert received_for(pledge) == pledge.total_minor


def test_messages_of_a_whole_life_give_the_same_books_in_any_order(pledge, stand_in):
    payment = begin(pledge)
    payment_id = stand_in.pay(payment.session_id)
    stand_in.win(stand_in.dispute(payment_id))
    stand_in.pay_out()
    events = stand_in.events[:]
    for seed in range(3):
        random.Random(seed).shuffle(events)
        for event in events:
            take(event)
        for _ in range(3):
            apply_events(now=NOW + timedelta(minutes=seed))
    balances = read_balances(pledge.show)
    assert balances[Account.PROCESSOR] == stand_in.balance() == 0
    assert received_for(pledge) == pledge.total_minor


def test_a_payout_moves_its_part_of_each_show_to_the_bank(paid, stand_in):
    stand_in.pay_out(status="in_transit")
    take_all(stand_in)
    payout = Payout.objects.get()
    balances = read_balances(paid.pledge.show)
    assert (payout.state, balances[Account.BANK]) == ("in_transit", 0)
    paid.refresh_from_db()
    assert paid.payout == payout, "its day is known before it arrives"
    stand_in.move_payout(payout.payout_id, status="paid")
    take_all(stand_in)
    take_all(stand_in)
    balances = read_balances(paid.pledge.show)
    assert balances[Account.PROCESSOR] == 0
    assert balances[Account.BANK] == stand_in.payouts[payout.payout_id]["amount"]


def test_a_payout_that_comes_back_is_undone_by_its_mirror_image(paid, stand_in):
    payout_id = stand_in.pay_out()
    take_all(stand_in)
    stand_in.move_payout(payout_id, status="failed")
    take_all(stand_in)
    balances = read_balances(paid.pledge.show)
    assert balances[Account.BANK] == 0
    assert balances[Account.PROCESSOR] == stand_in.payouts[payout_id]["amount"]
    assert ProcessorEvent.objects.filter(kind="payout.failed", is_trouble=True).exists()


def test_a_payout_books_a_payment_of_which_no_message_came(pledge, stand_in):
    stand_in.pay(begin(pledge).session_id)
    stand_in.events.clear()
    stand_in.pay_out()
    take_all(stand_in)
    assert received_for(pledge) == pledge.total_minor
    assert read_balances(pledge.show)[Account.PROCESSOR] == 0


def test_money_of_others_in_the_same_payout_is_left_alone(paid, stand_in):
    stand_in.sessions["cs_foreign"] = dict(stand_in.sessions[paid.session_id]) | {
        "id": "cs_foreign", "status": "open", "metadata": {}, "payment_intent": None, "client_reference_id": None,
    }  # fmt: skip
    stand_in.pay("cs_foreign")
    payout_id = stand_in.pay_out()
    take_all(stand_in)
    balances = read_balances(paid.pledge.show)
    assert balances[Account.PROCESSOR] == 0
    assert 0 < balances[Account.BANK] < stand_in.payouts[payout_id]["amount"]
    assert "is of no payment here" in ProcessorEvent.objects.get(kind="payout.paid").outcome


def test_a_contested_payment_is_shown_and_booked_as_taken_back(paid, stand_in):
    dispute_id = stand_in.dispute(paid.payment_id)
    take_all(stand_in)
    take_all(stand_in)
    dispute = Dispute.objects.get()
    assert (dispute.state, dispute.amount_minor) == ("needs_response", paid.amount_minor)
    assert received_for(paid.pledge) == 0
    assert read_balances(paid.pledge.show)[Account.PROCESSOR] == stand_in.balance() < 0
    stand_in.win(dispute_id)
    take_all(stand_in)
    assert received_for(paid.pledge) == paid.amount_minor
    assert read_balances(paid.pledge.show)[Account.PROCESSOR] == stand_in.balance()
    assert owe_refund(pledge=paid.pledge, amount_minor=paid.amount_minor, key="r", reason="r", now=NOW)


def owe(payment, amount_minor, key="give-back"):
    return owe_refund(pledge=payment.pledge, amount_minor=amount_minor, key=key, reason="Asked for", now=NOW)[0]


def state_of(refund):
    refund.refresh_from_db()
    return refund.state


def test_a_refund_goes_to_the_card_once(paid, stand_in):
    refund = owe(paid, 1_000)
    assert [send_due_refunds(now=NOW), send_due_refunds(now=NOW)] == [1, 0]
    assert state_of(refund) == "done"
    assert [row["amount"] for row in stand_in.refunds.values()] == [1_000]
    take_all(stand_in)
    assert received_for(paid.pledge) == paid.amount_minor - 1_000
    assert read_balances(paid.pledge.show)[Account.PROCESSOR] == stand_in.balance()


@pytest.mark.parametrize("kind", ["timeout", "reset", "429"])
def test_a_refund_whose_answer_was_lost_is_found_or_asked_for_with_its_key(paid, stand_in, kind):
    refund = owe(paid, 1_000)
    stand_in.fail_next("", kind)
    assert send_due_refunds(now=NOW) == 0
    assert state_of(refund) == "owed"
    assert send_due_refunds(now=NOW + timedelta(minutes=1)) == 1
    assert (state_of(refund), len(stand_in.refunds)) == ("done", 1)


@pytest.mark.parametrize("kinds", [["500"], ["500_after"], ["500", "", "500"], ["500", "", "500_after"]])
def test_a_refund_answered_with_an_error_goes_once_all_the_same(paid, stand_in, kinds):
    refund = owe(paid, 1_000)
    stand_in.fail_next("", *kinds)
    assert send_due_refunds(now=NOW) == 1
    assert (state_of(refund), len(stand_in.refunds)) == ("done", 1)


def test_dying_after_the_call_and_before_the_commit_gives_nothing_back_twice(paid, stand_in):
    refund = owe(paid, 1_000)
    processor.send_back(key=refund.key, name=refund.key, payment_id=paid.payment_id, amount_minor=1_000)
    Refund.objects.update(state="sending", lease_until_at=NOW, attempts=1)
    stand_in.kept.clear()  # and more than a day ago
    assert send_due_refunds(now=NOW + timedelta(minutes=1)) == 1
    assert (state_of(refund), len(stand_in.refunds)) == ("done", 1)


def test_beginning_a_refund_anew_after_a_failure_finds_what_was_sent_before(paid, stand_in):
    refund = owe(paid, 1_000)
    processor.send_back(key=refund.key, name=refund.key, payment_id=paid.payment_id, amount_minor=1_000)
    stand_in.kept.clear()
    Refund.objects.update(state="failed", attempts=7)
    retry_refund(refund=refund, now=NOW)
    assert send_due_refunds(now=NOW) == 1
    assert (state_of(refund), len(stand_in.refunds)) == ("done", 1)


def test_a_refund_that_takes_a_while_is_booked_when_it_has_gone(paid, stand_in):
    stand_in.refund_state = "pending"
    refund = owe(paid, 1_000)
    assert send_due_refunds(now=NOW) == 0
    assert state_of(refund) == "sending"
    [row] = stand_in.refunds.values()
    row["status"] = "succeeded"
    stand_in.tell("refund.updated", row)
    take_all(stand_in)
    assert state_of(refund) == "done"


def test_a_card_that_takes_nothing_is_the_artists_to_decide(paid, stand_in):
    stand_in.refund_state = "failed"
    refund = owe(paid, 1_000)
    send_due_refunds(now=NOW)
    assert state_of(refund) == "failed"
    assert "did not take it" in refund.last_error


def test_a_refund_that_comes_back_later_is_money_received_again(paid, stand_in):
    refund = owe(paid, paid.amount_minor)
    send_due_refunds(now=NOW)
    [refund_id] = stand_in.refunds
    stand_in.return_refund(refund_id)
    take_all(stand_in)
    take_all(stand_in)
    assert received_for(paid.pledge) == paid.amount_minor
    assert read_balances(paid.pledge.show)[Account.PROCESSOR] == stand_in.balance()
    assert ProcessorEvent.objects.filter(kind="refund.failed", is_trouble=True).exists()
    assert send_due_refunds(now=NOW + timedelta(hours=1)) == 0
    # It never arrived, so it is still the backer's: by a row of its own that waits for the artist.
    assert state_of(refund) == "called_off"
    again = Refund.objects.exclude(pk=refund.pk).get()
    assert (again.state, again.amount_minor) == ("failed", refund.amount_minor)
    assert promised_back(paid.pledge) == refund.amount_minor


def test_a_refund_begun_at_the_processor_is_booked_once(paid, stand_in):
    stand_in._refund({"payment_intent": paid.payment_id, "amount": "700"})
    take_all(stand_in)
    take_all(stand_in)
    assert received_for(paid.pledge) == paid.amount_minor - 700
    assert read_balances(paid.pledge.show)[Account.PROCESSOR] == stand_in.balance()


def test_more_than_the_charge_is_refused_for_good(paid, stand_in):
    refund = owe(paid, 1_000)
    stand_in.refunds["re_other"] = {
        "id": "re_other", "payment_intent": paid.payment_id, "amount": paid.amount_minor, "status": "succeeded",
        "currency": "eur", "created": 0,
    }  # fmt: skip
    send_due_refunds(now=NOW)
    assert state_of(refund) == "failed"


def test_a_refund_without_a_known_card_payment_waits_for_the_artist(paid, stand_in):
    refund = owe(paid, 1_000)
    Refund.objects.update(card_payment=None)
    send_due_refunds(now=NOW)
    assert state_of(refund) == "failed"


def test_settling_twice_books_the_same(paid):
    before = list(CashEntry.objects.values_list("key", flat=True))
    settle_session(processor.fetch_session(paid.session_id), now=NOW)
    assert list(CashEntry.objects.values_list("key", flat=True)) == before
