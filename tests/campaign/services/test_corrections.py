"""Lines of the cash book that are undone: what is owed, set aside and said of refunds stays true."""

from datetime import timedelta

import pytest
from django.urls import reverse

from campaign import tasks
from campaign.access import make_pledge_token
from campaign.errors import NotInThisState
from campaign.models import BankLine, BankStatement, BankUpload, CashEntry, Refund, Show
from campaign.queries.money import read_money, received_for
from campaign.queries.refunds import list_loose
from campaign.services import bank_lines, bank_statements, payments, refunds
from campaign.services.checks import CHECKS
from campaign.services.owing import promised_back, still_free
from tests.builders import NOW, pay, place

pytestmark = pytest.mark.django_db
DAY = NOW.date()


def agrees():
    return [found.line for check in CHECKS if (found := check()).difference]


@pytest.fixture
def goodwill(show):
    """A paid order of 49.90 of which 10.00 was given back."""
    pledge = place(show)
    pay(pledge)
    [owed] = refunds.owe_refund(pledge=pledge, amount_minor=1_000, key="late", reason="For the delay", now=NOW)
    return refunds.settle_refund(refund=owed, happened_on=DAY, now=NOW)


def test_a_refund_that_was_booked_by_mistake_is_neither_said_nor_owed(goodwill):
    pledge = goodwill.pledge
    payments.correct_entry(entry=goodwill.entry, reason="another order", now=NOW)
    goodwill.refresh_from_db()
    assert (goodwill.state, goodwill.last_error) == ("called_off", "Its line was corrected: another order")
    assert (received_for(pledge), promised_back(pledge), still_free(pledge)) == (4_990, 0, 4_990)
    pledge.refresh_from_db()
    assert pledge.state == "paid" and read_money(pledge.show).owed_back_minor == 0
    assert not agrees()


def test_a_refund_that_did_not_arrive_is_owed_again_once(goodwill):
    pledge = goodwill.pledge
    for _ in range(2):
        payments.correct_entry(entry=goodwill.entry, reason="account closed", now=NOW, is_still_owed=True)
    again = Refund.objects.get(state="owed")
    assert (again.amount_minor, again.reason) == (1_000, "Did not arrive: account closed")
    assert promised_back(pledge) == 1_000 and still_free(pledge) == 3_990
    done = refunds.settle_refund(refund=again, happened_on=DAY, now=NOW)
    assert done.entry != goodwill.entry and received_for(pledge) == 3_990
    assert not agrees()


def test_a_surplus_whose_refund_was_a_mistake_waits_for_a_decision_again(show):
    pledge = place(show)
    pay(pledge, amount_minor=6_000)
    given = refunds.give_back(pledge=pledge, key="k", amount_minor=1_010, way="transfer", happened_on=DAY, now=NOW)
    assert not list_loose(show)
    payments.correct_entry(entry=given.entry, reason="never sent", now=NOW)
    [loose] = list_loose(show)
    assert loose.amount_minor == 1_010 and promised_back(pledge) == 0
    assert not agrees()


def test_the_backers_page_says_what_is_true_after_a_correction(goodwill, client, clock_at_now):
    pledge = goodwill.pledge
    client.get(f"/m/{make_pledge_token(pledge)}/")
    assert "went back to you" in client.get(f"/my/{pledge.code}/").content.decode()
    payments.correct_entry(entry=goodwill.entry, reason="account closed", now=NOW, is_still_owed=True)
    page = client.get(f"/my/{pledge.code}/").content.decode()
    assert "went back to you" not in page and "€10.00 goes back to you" in page


@pytest.fixture
def clock_at_now():
    import time_machine

    with time_machine.travel(NOW, tick=False):
        yield


def test_the_page_of_a_correction_asks_whether_a_refund_is_still_owed(goodwill, ada_client):
    url = reverse("campaign:correct", args=["tideline", goodwill.entry.key])
    assert "put it on the list" in ada_client.get(url).content.decode()
    ada_client.post(url, {"reason": "account closed", "is_still_owed": "on"})
    assert Refund.objects.get(state="owed").amount_minor == 1_000
    payment = CashEntry.objects.get(credit="orders", corrects=None)
    plain = ada_client.get(reverse("campaign:correct", args=["tideline", payment.key]))
    assert "is_still_owed" not in plain.context["form"].fields


def test_a_correction_that_a_rule_forbids_is_said_on_its_page(goodwill, ada_client):
    correction = payments.correct_entry(entry=goodwill.entry, reason="x", now=NOW)
    answer = ada_client.post(reverse("campaign:correct", args=["tideline", correction.key]), {"reason": "y"})
    assert answer.status_code == 200 and "a correction already" in answer.content.decode()
    with pytest.raises(NotInThisState):
        payments.correct_entry(entry=correction, reason="y", now=NOW)


def test_a_bank_file_without_columns_is_forgotten_by_the_sweep_after_a_day(show):
    kept, old = (
        BankUpload.objects.create(show=show, file_name=name, content=b"x", sent_at=NOW - timedelta(hours=hours))
        for name, hours in (("new.csv", 23), ("old.csv", 25))
    )
    assert dict(tasks.STEPS)["bank files dropped"](now=NOW) == 1
    assert list(BankUpload.objects.all()) == [kept] and old.file_name == "old.csv"
    assert bank_statements.drop_old_uploads(now=NOW) == 0


def bank_line(show, amount_minor, *, number=0):
    statement, _ = BankStatement.objects.get_or_create(
        show=show, sha256="0" * 64, defaults={"format": "csv", "file_name": "b.csv", "read_at": NOW}
    )
    return BankLine.objects.create(
        statement=statement, line_hash=str(number) * 64, booked_on=DAY, amount_minor=amount_minor, currency="EUR"
    )


@pytest.mark.parametrize("set_aside_bp", [0, 1_000, 3_333])
def test_a_surplus_kept_as_a_gift_is_set_aside_for_as_a_gift_is(db, set_aside_bp):
    from tests.builders import make_show

    show = make_show(set_aside_bp=set_aside_bp)
    given, kept = place(show, gift_minor=777), place(show)
    pay(given)
    before = kept.set_aside_minor
    Show.objects.update(set_aside_bp=2_500)  # what is set aside of orders to come does not reach back
    line = bank_line(show, kept.total_minor + 777)
    booking = bank_lines.book_line_to_order(line=line, pledge=kept, surplus="keep", now=NOW)
    kept.refresh_from_db()
    assert (kept.gift_minor, kept.total_minor) == (777, given.total_minor)
    assert kept.set_aside_minor == given.set_aside_minor
    assert not agrees()
    payments.correct_entry(entry=booking.entry, reason="another's", now=NOW)
    kept.refresh_from_db()
    assert (kept.gift_minor, kept.set_aside_minor) == (0, before)
    assert not agrees()


def test_two_kept_sums_are_taken_away_in_any_order_to_the_cent(db):
    from tests.builders import make_show

    show = make_show(set_aside_bp=3_333)
    pledge = place(show)
    before = pledge.set_aside_minor
    lines = [bank_line(show, pledge.total_minor + 333, number=1), bank_line(show, 77, number=2)]
    bookings = [bank_lines.book_line_to_order(line=line, pledge=pledge, surplus="keep", now=NOW) for line in lines]
    assert [booking.kept_minor for booking in bookings] == [333, 77]
    for booking in bookings:
        payments.correct_entry(entry=booking.entry, reason="x", now=NOW)
    pledge.refresh_from_db()
    assert (pledge.gift_minor, pledge.set_aside_minor) == (0, before)
