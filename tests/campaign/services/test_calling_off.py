"""Shows that end: called off by the artist or below their minimum; every sum owed once, every letter written once."""

from datetime import timedelta

import pytest

from campaign.errors import CampaignNotOpen, NotInThisState, NotReady
from campaign.models import Copy, FixedPlan, Job, OutboxMessage, Pledge, Refund, Show, Waiter
from campaign.queries.minimum import minimum_words, read_minimum
from campaign.queries.money import read_money
from campaign.services import pledges, refunds
from campaign.services.calling_off import call_off_show, end_orders
from campaign.services.campaigns import close_campaign
from campaign.services.minimum import set_minimum
from campaign.services.owing import promised_back
from campaign.services.payments import Outcome, record_other_money
from campaign.services.waiting import end_places
from tests.builders import NOW, make_draft, make_show, pay, place

WORDS = "The gallery has closed for good."
SEVERAL = 3


def call_off(show):
    return call_off_show(show=show, words=WORDS, now=NOW)


def letters():
    return OutboxMessage.objects.filter(name="show_called_off")


def test_a_show_called_off_owes_all_and_tells_all(show):
    paid, held, part = place(show), place(show, copies=2), place(show)
    pay(paid)
    pay(part, amount_minor=700, way="cash")
    job = call_off(show)
    assert (job.kind, job.total, job.done) == ("refunds", SEVERAL, 0)
    assert end_orders(now=NOW) == SEVERAL
    assert end_orders(now=NOW) == 0
    job.refresh_from_db()
    assert (job.state, job.done) == (Job.State.DONE, SEVERAL)
    assert set(Pledge.objects.values_list("state", flat=True)) == {"cancelled"}
    assert not Copy.objects.exclude(state=Copy.State.FREE).exists()
    assert sorted(Refund.objects.values_list("way", "amount_minor", "batch")) == [
        ("cash", 700, job.pk),
        ("transfer", paid.total_minor, job.pk),
    ]
    assert promised_back(held) == 0
    assert letters().count() == SEVERAL
    assert not OutboxMessage.objects.filter(name="pledge_cancelled").exists()
    assert "by bank transfer" in letters().get(recipient=paid.email).text
    assert "have paid nothing" in letters().get(recipient=held.email).text
    assert all(WORDS in letter.text and WORDS in letter.html for letter in letters())


def test_calling_off_twice_is_once(show):
    pay(place(show))
    first = call_off(show)
    end_orders(now=NOW)
    again = call_off_show(show=show, words="Another reason.", now=NOW + timedelta(days=1))
    end_orders(now=NOW)
    assert again == first
    show.refresh_from_db()
    assert (show.called_off_words, show.called_off_at) == (WORDS, NOW)
    assert Refund.objects.count() == letters().count() == 1


def test_a_show_without_orders_is_called_off_at_once(show):
    assert call_off(show).state == Job.State.DONE
    assert end_orders(now=NOW) == 0


def test_no_order_is_taken_after_it(show):
    call_off(show)
    with pytest.raises(CampaignNotOpen):
        place(show)


def test_an_order_that_slipped_in_ends_too(show):
    call_off(show)
    Show.objects.update(state=Show.State.OPEN, closed_at=None)
    late = place(show)
    Show.objects.update(state=Show.State.CALLED_OFF, closed_at=NOW)
    assert end_orders(now=NOW) == 1
    late.refresh_from_db()
    assert late.state == Pledge.State.CANCELLED
    job = Job.objects.get()
    assert (job.done, job.total) == (1, 1)


def test_money_that_comes_afterwards_is_owed_back(show):
    pledge = place(show)
    call_off(show)
    before = pay(pledge, amount_minor=1_000)  # the order has not been ended yet
    end_orders(now=NOW)
    after = pay(pledge, amount_minor=500)
    assert {before.outcome, after.outcome} <= {Outcome.OWED_BACK, Outcome.PART}
    assert after.outcome == Outcome.OWED_BACK
    assert promised_back(pledge) == 1_500
    assert not OutboxMessage.objects.filter(name="payment_received").exists()
    assert letters().count() == 1


def test_all_of_the_money_at_the_same_moment_does_not_pay_the_order(show):
    pledge = place(show)
    call_off(show)
    pay(pledge)
    pledge.refresh_from_db()
    assert pledge.state == Pledge.State.HELD
    end_orders(now=NOW)
    assert promised_back(pledge) == pledge.total_minor == read_money(show).owed_back_minor


def test_lapsed_orders_with_money_are_given_back_as_well(db):
    show = make_show(copies=1)
    lapsed = place(show)
    pledges.lapse_due_holds(now=NOW + timedelta(days=60))
    place(show)
    pay(lapsed)
    call_off(show)
    assert end_orders(now=NOW) == 2
    assert promised_back(lapsed) == lapsed.total_minor
    refunds.call_off_refund(refund=lapsed.refunds.get(), reason="she gives it", now=NOW)
    assert end_orders(now=NOW) == 0


def test_whoever_waits_waits_no_longer(show):
    edition = show.editions.get()
    waiter = Waiter.objects.create(
        edition=edition, name="Wanda", email="w@example.org", asked_at=NOW, state="offered",
        offered_at=NOW, offer_until_at=NOW + timedelta(days=2),
    )  # fmt: skip
    edition.copies.filter(number=1).update(state=Copy.State.OFFERED, waiter=waiter)
    call_off(show)
    assert end_places(now=NOW) == 1
    waiter.refresh_from_db()
    assert waiter.state == Waiter.State.LEFT
    assert edition.copies.get(number=1).state == Copy.State.FREE


def test_a_draft_has_nothing_to_call_off(db):
    with pytest.raises(NotInThisState):
        call_off(make_draft())


def test_a_posted_print_is_too_late(show):
    pay(place(show))
    close_campaign(show=show, now=NOW)
    Copy.objects.filter(number=1).update(is_printed=True, is_posted=True)
    with pytest.raises(NotReady):
        call_off(show)
    Copy.objects.filter(number=1).update(is_posted=False)
    call_off(show)
    show.refresh_from_db()
    assert show.state == Show.State.CALLED_OFF
    assert show.closed_at == NOW


def with_minimum(show, sum_minor, choice):
    return set_minimum(show=show, minimum_minor=sum_minor, below_minimum=choice)


def test_below_the_minimum_all_goes_back_where_that_was_the_choice(show):
    with_minimum(show, 50_000, "give_back")
    pledge = place(show)
    pay(pledge)
    for _ in range(2):
        assert close_campaign(show=show, now=NOW) is None
    end_orders(now=NOW)
    show.refresh_from_db()
    assert show.state == Show.State.CALLED_OFF
    assert "did not reach the €500.00" in show.called_off_words
    assert not FixedPlan.objects.exists()
    assert promised_back(pledge) == pledge.total_minor
    assert "€500.00" in letters().get().text


def test_below_the_minimum_the_show_is_made_smaller_where_that_was_the_choice(show):
    with_minimum(show, 50_000, "scale_down")
    pay(place(show))
    fixed = close_campaign(show=show, now=NOW)
    assert fixed.money_minor < 50_000
    show.refresh_from_db()
    assert show.state == Show.State.CLOSED
    assert not Refund.objects.exists()


def test_the_minimum_counts_money_in_hand_and_no_open_order(show):
    show = with_minimum(show, 10_000, "give_back")
    record_other_money(show=show, key="o", kind="own", amount_minor=9_999, happened_on=NOW.date(), text="own", now=NOW)
    place(show, copies=3)
    assert read_minimum(show).missing_minor == 1
    record_other_money(show=show, key="p", kind="own", amount_minor=1, happened_on=NOW.date(), text="own", now=NOW)
    assert read_minimum(show).is_reached
    assert close_campaign(show=show, now=NOW).money_minor == 10_000


def test_the_choice_is_fixed_by_the_first_order(show):
    with_minimum(show, 20_000, "give_back")
    place(show)
    with pytest.raises(NotReady, match="ordered"):
        with_minimum(show, 30_000, "give_back")
    with pytest.raises(NotReady):
        with_minimum(show, None, "give_back")
    assert with_minimum(show, 20_000, "give_back").minimum_minor == 20_000
    assert read_minimum(show) is None  # the row at hand is the old one
    show.refresh_from_db()
    assert read_minimum(show).minimum_minor == 20_000


def test_the_words_say_plainly_what_happens(show):
    assert minimum_words(show).startswith("There is no minimum")
    show.minimum_minor, show.below_minimum = 90_000, "give_back"
    assert minimum_words(show) == (
        "If the show does not reach €900.00 of wall money by 1 April 2026, 23:59, it is called off and all money goes "
        "back; no print is made then."
    )
    show.below_minimum = "scale_down"
    assert "made smaller" in minimum_words(show)
