"""The waiting list: copies that come back are offered in the order of asking, each offer with its own time."""

from datetime import timedelta

import pytest

from campaign.errors import CampaignNotOpen, CopiesAreFree, NotEnoughCopies, NotOnSale, OfferEnded, OverLimit
from campaign.models import Copy, Edition, OutboxMessage, Pledge, Show, Waiter
from campaign.queries.waiting import count_line, count_waiting, read_place, read_waiting_list
from campaign.services import waiting
from campaign.services.calling_off import call_off_show, end_orders
from campaign.services.campaigns import close_campaign
from campaign.services.checks.stock import check_copies, check_ended_shows, check_holds, check_waiters
from campaign.services.copies import lock_editions
from campaign.services.pledges import cancel_pledge, lapse_due_holds
from tests.builders import NOW, add_small_edition, make_draft, pay, place, wait

State = Waiter.State
HOUR = timedelta(hours=1)


@pytest.fixture
def full(db):
    """A show whose four copies are ordered by four people."""
    show = make_draft(state="open", copies=4)  # no staircase: it is not asked for
    show.orders = [place(show) for _ in range(4)]
    return show


def back(pledge, *, now=NOW):
    return cancel_pledge(pledge=pledge, by_backer=False, now=now)


def mails(name):
    return list(OutboxMessage.objects.filter(name=name).order_by("pk").values_list("recipient", flat=True))


def now_is(waiter):
    waiter.refresh_from_db()
    return waiter.state, waiter.offered_copies.count()


def test_a_place_is_noted_with_a_mail_that_says_which(full):
    first, second = wait(full), wait(full, copies=2)
    assert (first.state, read_place(second, now=NOW).people_before) == (State.WAITING, 1)
    assert mails("waiting_noted") == [first.email, second.email]
    text = OutboxMessage.objects.get(name="waiting_noted", recipient=second.email).text
    assert "2 copies of “Harbour light”, as number 2 in line" in text and "/w/" in text
    assert count_line(full.editions.get()) == (2, 3) == count_waiting(full)


def test_an_address_has_one_place_however_often_it_asks(full):
    first = wait(full, email="mary@example.org")
    again = wait(full, email="Mary@Example.org ", copies=3)
    assert (again.pk, again.copies) == (first.pk, 1)
    assert len(mails("waiting_noted")) == 1
    wait(full, email="mary@example.org", now=NOW + 2 * HOUR)
    assert len(mails("waiting_noted")) == 2


def test_nobody_waits_for_what_can_be_ordered(full):
    back(full.orders[0])
    with pytest.raises(CopiesAreFree) as caught:
        wait(full)
    assert caught.value.copies == 1
    assert not Waiter.objects.exists() and not mails("waiting_noted")


def test_nobody_waits_for_more_than_one_person_may_have(full):
    with pytest.raises(OverLimit):
        wait(full, copies=4)


def test_there_is_a_list_only_while_the_edition_is_sold(full):
    with pytest.raises(CampaignNotOpen):
        wait(full, now=full.closes_at)
    Edition.objects.update(sold_until_at=NOW)
    with pytest.raises(NotOnSale):
        wait(full)


def test_what_comes_back_is_offered_in_the_order_of_asking(full):
    first, second, third = wait(full), wait(full), wait(full)
    back(full.orders[2])
    back(full.orders[0])
    assert [now_is(waiter) for waiter in (first, second, third)] == [
        (State.OFFERED, 1), (State.OFFERED, 1), (State.WAITING, 0),
    ]  # fmt: skip
    assert first.offered_copies.get().number == 3
    assert (first.offered_at, first.offer_until_at) == (NOW, NOW + timedelta(hours=full.offer_hours))
    assert mails("copies_offered") == [first.email, second.email]
    assert not check_waiters().difference


def test_an_order_that_lapses_comes_back_to_the_line_as_well(full):
    waiter = wait(full)
    lapse_due_holds(now=full.orders[0].hold_until_at + HOUR)
    assert now_is(waiter) == (State.OFFERED, 1)
    assert Copy.objects.filter(state=Copy.State.FREE).count() == 3


def test_no_buyer_gets_what_is_offered(full):
    wait(full)
    back(full.orders[0])
    with pytest.raises(NotEnoughCopies) as caught:
        place(full)
    assert caught.value.left == 0


def test_no_buyer_overtakes_the_line_where_a_copy_is_free_and_not_offered_yet(full):
    waiter = wait(full)
    Copy.objects.filter(pledge=full.orders[0]).update(state=Copy.State.FREE, pledge=None, line=None)
    with pytest.raises(NotEnoughCopies):
        place(full)
    assert now_is(waiter) == (State.WAITING, 0)  # the refused order took its own writes back
    assert waiting.offer_due_copies(now=NOW) == 1
    assert waiting.offer_due_copies(now=NOW) == 0
    assert now_is(waiter) == (State.OFFERED, 1)


def test_what_nobody_waits_for_stays_free_for_everybody(full):
    wait(full)
    back(full.orders[0])
    back(full.orders[1])
    assert place(full).held_copies.get().number == 2


def test_who_wants_more_than_came_back_is_offered_what_there_is(full):
    first, second = wait(full, copies=3), wait(full)
    back(full.orders[0])
    assert (now_is(first), now_is(second)) == ((State.OFFERED, 1), (State.WAITING, 0))
    assert "You asked for 3; more are not free." in OutboxMessage.objects.get(name="copies_offered").text
    back(full.orders[1])  # the offer is what it said; what comes later goes to the next
    assert (now_is(first), now_is(second)) == ((State.OFFERED, 1), (State.OFFERED, 1))


def test_who_has_ordered_enough_since_asking_waits_no_longer(full):
    Edition.objects.update(limit_per_person=1)
    ordered, other = wait(full, email=full.orders[3].email), wait(full)
    back(full.orders[0])
    assert (now_is(ordered), now_is(other)) == ((State.LEFT, 0), (State.OFFERED, 1))
    assert "as many copies" in OutboxMessage.objects.get(name="waiting_ended", recipient=ordered.email).text


def test_an_offer_is_taken_by_an_order(full):
    waiter, other = wait(full), wait(full)
    back(full.orders[1])
    pledge = place(full, email=waiter.email, waiter=waiter)
    assert now_is(waiter) == (State.TAKEN, 0)
    assert (waiter.pledge, waiter.ended_at) == (pledge, NOW)
    assert pledge.held_copies.get().number == 2
    assert now_is(other) == (State.WAITING, 0)
    assert not check_holds().difference and not check_waiters().difference


def test_the_same_submit_twice_takes_an_offer_once(full):
    waiter = wait(full)
    back(full.orders[1])
    first = place(full, waiter=waiter)
    assert place(full, waiter=waiter, request_key=first.request_key) == first
    with pytest.raises(OfferEnded) as caught:
        place(full, waiter=waiter)
    assert caught.value.is_taken and "ordered already" in caught.value.sentence
    assert Pledge.objects.count() == 5


def test_taking_fewer_than_are_kept_frees_the_rest_for_the_next(db):
    show = make_draft(state="open", copies=3)
    whole = place(show, copies=3)
    waiter, other = wait(show, copies=3), wait(show)
    back(whole)
    assert now_is(waiter) == (State.OFFERED, 3)
    pledge = place(show, copies=1, waiter=waiter)
    assert (pledge.held_copies.get().number, now_is(other)) == (1, (State.OFFERED, 1))
    assert Copy.objects.filter(state=Copy.State.FREE).count() == 1
    assert not check_copies().difference and not check_waiters().difference


def test_an_offer_ends_to_the_second_even_if_the_sweep_is_late(full):
    waiter = wait(full)
    back(full.orders[0])
    until = NOW + timedelta(hours=full.offer_hours)
    with pytest.raises(OfferEnded) as caught:
        place(full, waiter=waiter, now=until)
    assert "until 12 March 2026, 13:00 CET" in caught.value.sentence
    place(full, waiter=waiter, now=until - timedelta(seconds=1))


def test_somebody_without_an_offer_takes_none(full):
    waiter = wait(full)
    with pytest.raises(OfferEnded) as caught:
        place(full, waiter=waiter)
    assert "Nothing is kept for you" in caught.value.sentence


def test_an_offer_that_lapses_goes_to_the_next_in_line(full):
    first, second = wait(full), wait(full)
    back(full.orders[0])
    until = NOW + timedelta(hours=full.offer_hours)
    assert waiting.lapse_offers(now=until - timedelta(seconds=1)) == 0
    assert waiting.lapse_offers(now=until) == 1
    assert waiting.lapse_offers(now=until) == 0
    assert (now_is(first), now_is(second)) == ((State.LAPSED, 0), (State.OFFERED, 1))
    assert mails("offer_lapsed") == [first.email]
    assert "1 copy of “Harbour light” was kept for you" in OutboxMessage.objects.get(name="offer_lapsed").text
    assert second.offer_until_at == until + timedelta(hours=full.offer_hours)


def test_who_let_an_offer_pass_may_ask_again_at_the_end(full):
    first, second = wait(full), wait(full)
    back(full.orders[0])
    later = NOW + timedelta(hours=full.offer_hours)
    waiting.lapse_offers(now=later)
    third = wait(full, now=later)
    again = waiting.ask_again(waiter=first, now=later)
    assert waiting.ask_again(waiter=first, now=later) == again
    assert read_place(again, now=later).people_before == 1
    assert (again.pk, again.email) != (first.pk, "") and again.pk > third.pk
    waiting.lapse_offers(now=later + timedelta(hours=full.offer_hours))
    assert (now_is(third), now_is(again), now_is(second)) == ((State.OFFERED, 1), (State.WAITING, 0), (State.LAPSED, 0))


def test_leaving_gives_an_offer_to_the_next(full):
    first, second = wait(full), wait(full)
    back(full.orders[0])
    assert waiting.leave_list(waiter=first, now=NOW) is True
    assert waiting.leave_list(waiter=first, now=NOW) is False
    assert (now_is(first), now_is(second)) == ((State.LEFT, 0), (State.OFFERED, 1))
    assert not mails("waiting_ended")


def test_who_is_taken_off_the_list_is_told_once(full):
    waiter = wait(full)
    back(full.orders[0])
    assert waiting.take_off_list(waiter=waiter, now=NOW) is True
    assert waiting.take_off_list(waiter=waiter, now=NOW) is False
    assert mails("waiting_ended") == [waiter.email]
    assert place(full).held_copies.get().number == 1


def test_an_offer_never_lasts_longer_than_orders_are_taken(full):
    Show.objects.update(offer_hours=720)
    first, second = wait(full), wait(full)
    back(full.orders[0])
    first.refresh_from_db()
    assert first.offer_until_at == full.closes_at
    Edition.objects.update(sold_until_at=NOW + HOUR)
    back(full.orders[1])
    second.refresh_from_db()
    assert second.offer_until_at == NOW + HOUR


def test_offers_and_places_end_with_the_campaign(full):
    offered, waits = wait(full), wait(full)
    back(full.orders[0], now=full.closes_at - HOUR)
    assert waiting.end_places(now=full.closes_at - timedelta(seconds=1)) == 0
    assert waiting.end_places(now=full.closes_at) == 2
    assert waiting.end_places(now=full.closes_at) == 0
    assert (now_is(offered), now_is(waits)) == ((State.LEFT, 0), (State.LEFT, 0))
    assert mails("waiting_ended") == [offered.email, waits.email]
    assert "The orders have closed" in OutboxMessage.objects.filter(name="waiting_ended").first().text
    back(full.orders[1], now=full.closes_at)
    assert Copy.objects.filter(state=Copy.State.FREE).count() == 2


def test_closing_early_ends_what_is_offered(full):
    offered = wait(full)
    back(full.orders[0])
    close_campaign(show=full, now=NOW + HOUR)
    with pytest.raises(CampaignNotOpen):
        place(full, waiter=offered, now=NOW + HOUR)
    assert waiting.end_places(now=NOW + HOUR) == 1
    assert now_is(offered) == (State.LEFT, 0)


def test_an_edition_whose_own_time_is_over_ends_its_line_only(full):
    small = add_small_edition(full, copies=1)
    place(full, edition_code="pocket")
    here, there = wait(full), wait(full, edition_code="pocket")
    Edition.objects.filter(pk=small.pk).update(sold_until_at=NOW + HOUR)
    assert waiting.end_places(now=NOW + HOUR) == 1
    assert (now_is(here)[0], now_is(there)[0]) == (State.WAITING, State.LEFT)
    assert "could be ordered until 10 March 2026" in OutboxMessage.objects.get(name="waiting_ended").text


def test_a_show_that_is_called_off_ends_its_lines_with_a_mail(full):
    offered, waits = wait(full), wait(full)
    back(full.orders[0])
    job = call_off_show(show=full, words="The roof leaks.", now=NOW)
    end_orders(now=NOW)
    job.refresh_from_db()
    assert job.state == "running"  # not done while anybody waits for a word
    assert waiting.end_places(now=NOW) == 2
    end_orders(now=NOW)
    job.refresh_from_db()
    assert job.state == "done"
    assert (now_is(offered), now_is(waits)) == ((State.LEFT, 0), (State.LEFT, 0))
    assert "The roof leaks." in OutboxMessage.objects.filter(name="waiting_ended").first().text
    assert not Copy.objects.exclude(state=Copy.State.FREE).exists()
    assert not check_ended_shows().difference


def test_a_show_without_orders_but_with_a_line_is_called_off_as_well(full):
    waiter = wait(full)
    for pledge in full.orders:
        Pledge.objects.filter(pk=pledge.pk).update(state="lapsed")
        Copy.objects.filter(pledge=pledge).update(state="free", pledge=None, line=None)
    job = call_off_show(show=full, words="The roof leaks.", now=NOW)
    assert job.state == "running"
    waiting.end_places(now=NOW)
    end_orders(now=NOW)
    job.refresh_from_db()
    assert (job.state, now_is(waiter)[0]) == ("done", State.LEFT)


def test_late_money_does_not_overtake_the_line(full):
    waiter = wait(full)
    late = full.orders[0]
    for pledge in full.orders[1:]:
        pay(pledge)
    lapse_due_holds(now=late.hold_until_at + HOUR)
    assert now_is(waiter) == (State.OFFERED, 1)
    pay(late, now=late.hold_until_at + 2 * HOUR)
    late.refresh_from_db()
    assert late.state == Pledge.State.LAPSED
    assert now_is(waiter) == (State.OFFERED, 1)


def test_the_steps_are_part_of_a_transaction_that_has_locked_the_edition(full, transactional_db):
    from campaign.services.offers import offer_copies

    with pytest.raises(AssertionError):
        offer_copies(full.editions.get(), now=NOW)
    assert list(lock_editions([])) == []


def test_the_studio_sees_offers_then_the_line_then_what_became_of_the_others(full):
    taker, first, second, gone = wait(full), wait(full), wait(full, copies=2), wait(full)
    back(full.orders[0])
    place(full, waiter=taker)
    waiting.leave_list(waiter=gone, now=NOW)
    back(full.orders[1])
    (one,) = read_waiting_list(full)
    assert [(line.waiter.pk, line.number, line.kept) for line in one.lines] == [(first.pk, None, 1), (second.pk, 1, 0)]
    assert {waiter.pk for waiter in one.ended} == {taker.pk, gone.pk}
    assert (one.waiting, one.copies_wanted, one.on_offer, one.taken) == (1, 2, 1, 1)


def test_a_place_knows_what_may_come_back(full):
    pay(full.orders[0])
    first, second = wait(full, copies=2), wait(full)
    back(full.orders[1])
    found = read_place(second, now=NOW)
    assert (found.people_before, found.held, found.on_offer, found.kept) == (0, 2, 1, 0)
    kept = read_place(Waiter.objects.get(pk=first.pk), now=NOW)
    assert (kept.kept, kept.can_ask_again) == (1, False)


def test_what_is_closed_is_said_to_be_closed_and_not_sold_out(full):
    with pytest.raises(CampaignNotOpen):
        place(full, now=full.closes_at)
    Edition.objects.update(sold_until_at=NOW)
    with pytest.raises(NotOnSale):
        place(full)
    Show.objects.update(state="closed", closed_at=NOW)  # the page was opened before: its show is an old copy
    with pytest.raises(CampaignNotOpen):
        place(full)
