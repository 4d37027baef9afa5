"""Paying by card: one page for an order, whatever answer is lost on the way, and money only as the processor has it."""

from datetime import timedelta

import pytest

from campaign import processor
from campaign.errors import NotInThisState, TemporaryFailure, WayNotOffered
from campaign.models import CardPayment, CashEntry, OutboxMessage, Pledge, Studio
from campaign.processor import AnsweredWithError, Away, Busy, KeyInUse, NotSetUp
from campaign.queries.money import read_balances
from campaign.services.card_books import settle_session
from campaign.services.cards import begin_card_payment
from campaign.services.pledges import cancel_pledge
from tests.builders import NOW, make_draft, pay, place

State = CardPayment.State


def begin(pledge, *, now=NOW):
    pledge.refresh_from_db()
    return begin_card_payment(pledge=pledge, success_url="http://a.example/s", cancel_url="http://a.example/c", now=now)


def book(payment, *, now=NOW):
    return settle_session(processor.fetch_session(payment.session_id), now=now)


@pytest.fixture
def show(db):
    return make_draft(state="open")


@pytest.fixture
def pledge(show, stand_in):
    return place(show, way="card")


def test_a_page_is_opened_for_what_is_missing(pledge, stand_in):
    payment = begin(pledge)
    [session] = stand_in.sessions.values()
    assert payment.state == State.OPEN
    assert payment.pay_url == session["url"] == f"{stand_in.url}/pay/{payment.session_id}"
    assert session["amount_total"] == payment.amount_minor == pledge.total_minor
    assert session["client_reference_id"] == pledge.code
    assert session["metadata"] == {"wallful_payment": payment.key}
    assert payment.key in stand_in.kept
    assert session["expires_at"] == int((NOW + timedelta(hours=24) - timedelta(minutes=5)).timestamp())


def test_a_page_ends_with_the_hold_but_never_before_the_least_the_processor_allows(pledge, stand_in):
    Pledge.objects.filter(pk=pledge.pk).update(hold_until_at=NOW + timedelta(hours=3))
    assert begin(pledge).expires_at == NOW + timedelta(hours=3)
    other = place(pledge.show, way="card")
    Pledge.objects.filter(pk=other.pk).update(hold_until_at=NOW + timedelta(minutes=2))
    assert begin(other).expires_at == NOW + timedelta(minutes=35)


def test_beginning_twice_is_one_page(pledge, stand_in):
    assert begin(pledge).pk == begin(pledge).pk
    assert len(stand_in.sessions) == 1


def test_a_part_that_came_otherwise_is_not_asked_for_again(pledge, stand_in):
    first = begin(pledge)
    pay(pledge, amount_minor=1_000, way="transfer")
    second = begin(pledge)
    assert second.amount_minor == pledge.total_minor - 1_000
    first.refresh_from_db()
    assert first.state == State.EXPIRED
    assert [session["status"] for session in stand_in.sessions.values()] == ["expired", "open"]


def test_a_page_that_was_paid_meanwhile_is_not_opened_again(pledge, stand_in):
    payment = begin(pledge)
    stand_in.pay(payment.session_id)
    again = begin(pledge)
    pledge.refresh_from_db()
    assert (again.pk, again.state, pledge.state) == (payment.pk, State.PAID, Pledge.State.PAID)
    assert len(stand_in.sessions) == 1
    assert OutboxMessage.objects.filter(name="payment_received").count() == 1


def test_an_expired_page_makes_room_for_a_new_one(pledge, stand_in):
    stand_in.expire(begin(pledge).session_id)
    assert begin(pledge).state == State.OPEN
    assert CardPayment.objects.count() == 2


@pytest.mark.parametrize("kind", ["timeout", "reset", "429"])
def test_a_lost_answer_is_asked_for_again_with_the_same_key(pledge, stand_in, kind):
    stand_in.fail_next(kind)
    with pytest.raises(Busy if kind == "429" else Away):
        begin(pledge)
    row = CardPayment.objects.get()
    assert (row.state, row.session_id) == (State.WANTED, "")
    payment = begin(pledge, now=NOW + timedelta(minutes=10))
    assert (payment.pk, payment.state) == (row.pk, State.OPEN)
    assert len(stand_in.sessions) == 1


def test_pressing_the_button_twice_at_once_waits_for_the_first_call(pledge, stand_in, monkeypatch):
    monkeypatch.setattr("campaign.services.cards.WAIT_S", 0.01)
    stand_in.fail_next("409")
    with pytest.raises(KeyInUse):
        begin(pledge)
    assert CardPayment.objects.get().state == State.WANTED
    assert begin(pledge).state == State.OPEN
    assert len(stand_in.sessions) == 1


@pytest.mark.parametrize("kind", ["500", "500_after"])
def test_an_error_that_is_kept_under_the_key_is_not_asked_for_for_ever(pledge, stand_in, kind):
    stand_in.fail_next(kind)
    with pytest.raises(AnsweredWithError):
        begin(pledge)
    assert CardPayment.objects.get().state == State.FAILED
    payment = begin(pledge)
    assert payment.state == State.OPEN
    stand_in.pay(payment.session_id)
    book(payment)
    assert len(stand_in.charges) == 1  # nobody ever saw the address of the page whose answer was lost


def test_a_call_lost_long_ago_is_looked_for_in_the_list(pledge, stand_in):
    stand_in.fail_next("timeout")
    with pytest.raises(Away):
        begin(pledge)
    stand_in.kept.clear()  # as after a day
    later = NOW + timedelta(hours=23, minutes=57)
    payment = begin(pledge, now=later)
    assert payment.pk == CardPayment.objects.get().pk
    assert payment.state == State.OPEN
    assert len(stand_in.sessions) == 1


def test_a_call_that_never_arrived_is_given_up_after_a_day_and_made_anew(pledge, stand_in):
    stand_in.fail_next("reset")
    with pytest.raises(Away):
        begin(pledge)
    later = NOW + timedelta(hours=23, minutes=57)
    stand_in.clock = later.timestamp
    assert begin(pledge, now=later).state == State.OPEN
    assert list(CardPayment.objects.values_list("state", flat=True)) == [State.FAILED, State.OPEN]


def test_dying_after_the_call_and_before_the_commit_opens_no_second_page(pledge, stand_in):
    begin(pledge)
    CardPayment.objects.update(state=State.WANTED, session_id="", pay_url="")  # the answer was never written down
    payment = begin(pledge)
    assert payment.state == State.OPEN
    assert len(stand_in.sessions) == 1


def test_a_message_finds_the_row_of_a_call_whose_answer_was_lost(pledge, stand_in):
    session_id = begin(pledge).session_id
    CardPayment.objects.update(state=State.WANTED, session_id="", pay_url="")
    stand_in.pay(session_id)
    finding = settle_session(processor.fetch_session(session_id), now=NOW)
    assert not finding.is_trouble
    pledge.refresh_from_db()
    assert pledge.state == Pledge.State.PAID


def test_a_payment_that_a_restored_backup_does_not_know_is_booked_from_its_page(pledge, stand_in):
    session_id = begin(pledge).session_id
    stand_in.pay(session_id)
    CardPayment.objects.all().delete()
    settle_session(processor.fetch_session(session_id), now=NOW)
    pledge.refresh_from_db()
    assert pledge.state == Pledge.State.PAID
    assert CardPayment.objects.get().state == State.PAID


def test_what_came_and_the_fee_are_booked_with_the_processor_once(pledge, stand_in):
    payment = begin(pledge)
    stand_in.pay(payment.session_id)
    for _ in range(3):
        book(payment)
    [charge] = stand_in.charges.values()
    fee = stand_in.moves[charge["balance_transaction"]]["fee"]
    balances = read_balances(pledge.show)
    assert balances["processor"] == pledge.total_minor - fee == stand_in.balance()
    assert balances["fees"] == fee > 0
    payment.refresh_from_db()
    assert (payment.fee_minor, payment.available_on) == (fee, NOW.date() + timedelta(days=2))
    entries = {entry.key: (entry.debit, entry.credit) for entry in CashEntry.objects.all()}
    assert entries == {
        f"payment:card:{payment.session_id}": ("processor", "orders"),
        f"fee:card:{payment.session_id}": ("fees", "processor"),
    }


def test_a_fee_that_is_known_later_is_booked_later(pledge, stand_in):
    stand_in.fee_is_late = True
    payment = begin(pledge)
    payment_id = stand_in.pay(payment.session_id)
    book(payment)
    assert read_balances(pledge.show)["fees"] == 0
    stand_in.know_fee(payment_id)
    book(payment)
    book(payment)
    assert read_balances(pledge.show)["processor"] == stand_in.balance()


def test_another_sum_than_asked_for_is_booked_as_it_came_and_shown(pledge, stand_in):
    payment = begin(pledge)
    stand_in.pay(payment.session_id, amount=2_000)
    finding = book(payment)
    assert finding.is_trouble
    assert "€20.00 came by card where €49.90 was asked for" in finding.sentence
    pledge.refresh_from_db()
    assert pledge.state == Pledge.State.HELD
    assert read_balances(pledge.show)["orders"] == -2_000


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"currency": "usd"}, "USD"),
        ({"client_reference_id": "SOMEBODYELSE"}, "another order"),
        ({"livemode": True}, "other mode"),
    ],
)
def test_a_page_that_is_not_this_orders_is_never_booked(pledge, stand_in, change, words):
    payment = begin(pledge)
    stand_in.sessions[payment.session_id].update(change)
    stand_in.pay(payment.session_id)
    finding = book(payment)
    assert finding.is_trouble
    assert words in finding.sentence
    assert CashEntry.objects.count() == 0


def test_money_for_a_cancelled_order_is_owed_back_to_the_card(pledge, stand_in):
    payment = begin(pledge)
    cancel_pledge(pledge=pledge, by_backer=True, now=NOW)
    stand_in.pay(payment.session_id)
    book(payment)
    refund = pledge.refunds.get()
    assert (refund.way, refund.card_payment_id, refund.amount_minor) == ("card", payment.pk, pledge.total_minor)


def test_an_order_that_is_not_waiting_for_money_opens_no_page(pledge, stand_in):
    pay(pledge, way="transfer")
    with pytest.raises(NotInThisState):
        begin(pledge)
    other = place(pledge.show, way="card")
    cancel_pledge(pledge=other, by_backer=True, now=NOW)
    with pytest.raises(NotInThisState):
        begin(other)
    assert CardPayment.objects.count() == 0


def test_cards_can_be_switched_off_and_need_keys_and_a_plain_currency(pledge, stand_in, settings):
    Studio.objects.update(takes_cards=False)
    with pytest.raises(WayNotOffered):
        begin(pledge)
    Studio.objects.update(takes_cards=True)
    settings.CARD_WEBHOOK_SECRET = ""
    with pytest.raises(WayNotOffered):
        begin(pledge)
    settings.CARD_WEBHOOK_SECRET = "whsec_invented"
    pledge.show.currency = "ISK"
    pledge.show.save()
    with pytest.raises(WayNotOffered):
        begin(pledge)


def test_a_wrong_key_is_not_the_backers_fault_and_can_be_mended(pledge, stand_in, settings):
    right, settings.CARD_SECRET_KEY = settings.CARD_SECRET_KEY, "sk_test_another"
    with pytest.raises(NotSetUp):
        begin(pledge)
    settings.CARD_SECRET_KEY = right
    assert begin(pledge).state == State.OPEN
    assert CardPayment.objects.count() == 1


def test_a_definite_no_is_final_for_its_attempt(show, stand_in):
    gift = place(show, way="card", copies=0, gift_minor=20)
    with pytest.raises(TemporaryFailure) as caught:
        begin(gift)
    assert caught.value.permanent
    assert CardPayment.objects.get().state == State.FAILED


def test_the_secret_key_is_in_no_message_of_a_failure(pledge, stand_in, settings, caplog):
    settings.CARD_SECRET_KEY = "sk_test_another"
    with caplog.at_level("DEBUG"), pytest.raises(NotSetUp) as caught:
        begin(pledge)
    assert "sk_test_another" not in str(caught.value) + caplog.text + CardPayment.objects.get().last_error
