"""Placing, changing, cancelling and lapsing orders, against a real database."""

import uuid
from datetime import timedelta

import pytest

from campaign.errors import (
    CampaignNotOpen,
    NoPostage,
    NotEnoughCopies,
    NotInThisState,
    OverLimit,
    SumChanged,
    TooLateToChange,
    WayNotOffered,
)
from campaign.models import Copy, OutboxMessage, Pledge, Show
from campaign.services import destinations, pledges
from tests.builders import BERLIN_ADDRESS, LONDON_ADDRESS, NOW, make_show, pay, place

State = Pledge.State


def numbers_of(pledge: Pledge) -> list[int]:
    return list(pledge.held_copies.order_by("number").values_list("number", flat=True))


def mails(name: str) -> int:
    return OutboxMessage.objects.filter(name=name).count()


def test_an_order_holds_the_lowest_free_copies(show):
    first = place(show, copies=2)
    second = place(show)
    assert numbers_of(first) == [1, 2]
    assert numbers_of(second) == [3]
    assert first.held_copies.first().state == Copy.State.HELD


def test_an_order_freezes_every_sum(show):
    pledge = place(show, copies=2, address=LONDON_ADDRESS, gift_minor=500)
    assert (pledge.prints_minor, pledge.postage_minor, pledge.gift_minor) == (9_000, 1_190, 500)
    assert pledge.total_minor == 10_690
    assert (pledge.make_cost_minor, pledge.pack_cost_minor, pledge.postage_cost_minor) == (840, 360, 1_100)
    assert pledge.hold_until_at == NOW + timedelta(days=show.hold_days)
    assert pledge.posting_by_on == show.posting_by_on


def test_the_reference_is_unique_and_valid(show):
    from stdnum import iso11649

    references = {place(show).reference for _ in range(5)}
    assert len(references) == 5
    assert all(iso11649.is_valid(reference) for reference in references)


def test_an_order_writes_its_mail_in_the_same_transaction(show):
    pledge = place(show)
    message = OutboxMessage.objects.get(name="pledge_placed")
    assert message.recipient == pledge.email
    assert pledge.reference in message.text.replace(" ", "")
    assert "/m/" in message.text


def test_the_same_submit_twice_is_one_order_and_one_mail(show):
    key = uuid.uuid4()
    first = place(show, request_key=key, copies=2)
    second = place(show, request_key=key, copies=2)
    assert first.pk == second.pk
    assert Pledge.objects.count() == 1
    assert Copy.objects.filter(state=Copy.State.HELD).count() == 2
    assert mails("pledge_placed") == 1


def test_a_gift_needs_no_address_and_holds_nothing(show):
    pledge = place(show, copies=0, gift_minor=2_500)
    assert pledge.total_minor == 2_500
    assert pledge.copies == 0 and not pledge.lines.exists()
    assert not Copy.objects.exclude(state=Copy.State.FREE).exists()


def test_too_many_copies_leave_nothing_behind(db):
    show = make_show(copies=2)
    with pytest.raises(NotEnoughCopies) as refusal:
        place(show, copies=3)
    assert refusal.value.left == 2
    assert "2" in refusal.value.sentence
    assert Pledge.objects.count() == 0
    assert Copy.objects.filter(state=Copy.State.FREE).count() == 2
    assert OutboxMessage.objects.count() == 0


def test_the_last_copy_goes_and_the_next_buyer_is_told(db):
    show = make_show(copies=1)
    place(show)
    with pytest.raises(NotEnoughCopies) as refusal:
        place(show)
    assert refusal.value.left == 0


def test_one_person_has_a_limit_over_all_their_orders(show):
    place(show, copies=2, email="one@example.org")
    with pytest.raises(OverLimit) as refusal:
        place(show, copies=2, email="One@Example.org")
    assert (refusal.value.limit, refusal.value.already) == (3, 2)
    place(show, copies=1, email="one@example.org")


def test_a_cancelled_order_does_not_count_towards_the_limit(show):
    pledge = place(show, copies=3, email="one@example.org")
    pledges.cancel_pledge(pledge=pledge, by_backer=True, now=NOW)
    assert place(show, copies=3, email="one@example.org").state == State.HELD


@pytest.mark.parametrize("days", [-30, 40])
def test_orders_are_taken_between_opening_and_closing_only(show, days):
    with pytest.raises(CampaignNotOpen):
        place(show, now=NOW + timedelta(days=days))


@pytest.mark.parametrize(
    ("moment", "is_taken"), [("opens_at", True), ("closes_at", False)], ids=["opening moment", "closing moment"]
)
def test_the_opening_moment_counts_and_the_closing_moment_does_not(show, moment, is_taken):
    if is_taken:
        assert place(show, now=getattr(show, moment)).pk
    else:
        with pytest.raises(CampaignNotOpen):
            place(show, now=getattr(show, moment))


def test_a_show_being_prepared_takes_no_orders(show):
    Show.objects.update(state=Show.State.DRAFT)
    with pytest.raises(CampaignNotOpen):
        place(show)


def test_a_country_without_a_price_is_refused(show):
    show.postage_rates.filter(countries="*").delete()
    with pytest.raises(NoPostage):
        place(show, address={**BERLIN_ADDRESS, "country_code": "NZ"})


def test_a_way_the_studio_does_not_offer_is_refused(show):
    from campaign.models import Studio

    Studio.objects.update(cheque_payee="")
    with pytest.raises(WayNotOffered):
        place(show, way="cheque")
    with pytest.raises(WayNotOffered):
        place(show, way="shells")


def test_postage_takes_the_smallest_step_of_the_zone_that_names_the_country(show):
    assert place(show, address=LONDON_ADDRESS).postage_minor == 890
    assert place(show, address=LONDON_ADDRESS, copies=3).postage_minor == 1_190
    japan = {"country_code": "JP", "street_address": "1-1 Chiyoda", "country_area": "Tokyo", "postal_code": "100-8111"}
    assert place(show, address=japan).postage_minor == 1_690


def test_cancelling_gives_the_copies_back_once(show):
    pledge = place(show, copies=2)
    pledges.cancel_pledge(pledge=pledge, by_backer=True, now=NOW)
    pledges.cancel_pledge(pledge=pledge, by_backer=True, now=NOW)
    assert Copy.objects.filter(state=Copy.State.FREE).count() == 20
    assert mails("pledge_cancelled") == 1
    assert numbers_of(place(show)) == [1]


def test_a_backer_cannot_cancel_after_the_cut_off_but_the_artist_can(show):
    pledge = place(show)
    late = NOW + timedelta(days=30)
    with pytest.raises(TooLateToChange):
        pledges.cancel_pledge(pledge=pledge, by_backer=True, now=late)
    assert pledges.cancel_pledge(pledge=pledge, by_backer=False, now=late).state == State.CANCELLED


def test_a_lapsed_order_cannot_be_cancelled(show):
    pledge = place(show)
    pledges.lapse_due_holds(now=NOW + timedelta(days=11))
    with pytest.raises(NotInThisState):
        pledges.cancel_pledge(pledge=pledge, by_backer=False, now=NOW)


def test_an_unpaid_hold_lapses_and_its_copies_return(show):
    pledge = place(show, copies=2)
    assert pledges.lapse_due_holds(now=pledge.hold_until_at) == 0
    assert pledges.lapse_due_holds(now=pledge.hold_until_at + timedelta(seconds=1)) == 1
    assert pledges.lapse_due_holds(now=pledge.hold_until_at + timedelta(days=1)) == 0
    pledge.refresh_from_db()
    assert pledge.state == State.LAPSED
    assert Copy.objects.filter(state=Copy.State.FREE).count() == 20
    assert mails("pledge_lapsed") == 1


def test_a_part_payment_keeps_the_hold_alive(show):
    pledge = place(show)
    pay(pledge, amount_minor=1_000)
    assert pledges.lapse_due_holds(now=pledge.hold_until_at + timedelta(seconds=1)) == 0
    pledge.refresh_from_db()
    assert pledge.state == State.HELD
    assert pledge.hold_until_at > NOW + timedelta(days=show.hold_days)


def test_one_reminder_comes_before_the_hold_ends(show):
    pledge = place(show)
    too_early = pledge.hold_until_at - timedelta(days=show.reminder_days, seconds=1)
    assert pledges.remind_due_holds(now=too_early) == 0
    assert pledges.remind_due_holds(now=too_early + timedelta(seconds=1)) == 1
    assert pledges.remind_due_holds(now=too_early + timedelta(seconds=2)) == 0
    assert mails("hold_reminder") == 1


def test_no_reminder_within_a_day_of_the_order(db):
    show = make_show(hold_days=2, reminder_days=3)
    place(show)
    assert pledges.remind_due_holds(now=NOW + timedelta(hours=23)) == 0
    assert pledges.remind_due_holds(now=NOW + timedelta(hours=25)) == 1


def test_a_new_address_is_kept_and_acknowledged_once(show):
    pledge = place(show)
    new = {**BERLIN_ADDRESS, "street_address": "Beispielallee 5"}
    for _ in range(2):
        destinations.change_address(pledge=pledge, name="New Name", address=new, now=NOW)
    pledge.refresh_from_db()
    assert pledge.name == "New Name"
    assert pledge.address["street_address"] == "Beispielallee 5"
    assert mails("address_changed") == 1


def test_a_dearer_country_is_not_a_mere_change_of_address(show):
    pledge = place(show)
    with pytest.raises(NoPostage):
        destinations.change_address(pledge=pledge, name=pledge.name, address=LONDON_ADDRESS, now=NOW)


def test_no_new_address_once_printing_ended(show):
    pledge = place(show)
    Show.objects.update(state=Show.State.PRINTED, closed_at=NOW)
    with pytest.raises(TooLateToChange):
        destinations.change_address(pledge=pledge, name="X", address=BERLIN_ADDRESS, now=NOW)


def test_a_sum_that_changed_since_it_was_shown_is_refused(show):
    with pytest.raises(SumChanged) as refusal:
        place(show, agreed_total_minor=4_989)
    assert refusal.value.total_minor == 4_990
    assert Pledge.objects.count() == 0
    assert place(show, agreed_total_minor=4_990).total_minor == 4_990


def test_each_show_reminds_by_its_own_days(show):
    pledge = place(show)
    Show.objects.update(reminder_days=0)
    assert pledges.remind_due_holds(now=pledge.hold_until_at - timedelta(hours=1)) == 0
    Show.objects.update(reminder_days=1)
    assert pledges.remind_due_holds(now=pledge.hold_until_at - timedelta(hours=1)) == 1


def test_an_answer_to_a_mail_reaches_the_studio(show):
    place(show)
    assert OutboxMessage.objects.get().headers["Reply-To"] == "studio@example.org"
