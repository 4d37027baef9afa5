"""Orders of several editions, for several people, with taxes: all of it is held or nothing is."""

from contextlib import contextmanager
from datetime import timedelta

import pytest

from campaign.errors import DearerPostage, NotEnoughCopies, NotOnSale, NotReady, OtherTax, OverLimit, TooLateToChange
from campaign.measures.money import portion
from campaign.models import Copy, Edition, OutboxMessage, Pledge, Show, Waiter
from campaign.queries.basket import LineWish
from campaign.queries.money import read_money
from campaign.services.checks.stock import check_copies, check_holds, check_orders
from campaign.services.copies import take_copies
from campaign.services.destinations import change_address, change_friend_address
from campaign.services.pledges import cancel_pledge, lapse_due_holds
from campaign.services.taxes import TaxWish, set_taxes
from tests.builders import BERLIN_ADDRESS, LONDON_ADDRESS, NOW, add_small_edition, pay, place

FRIEND = {"country_code": "FR", "street_address": "8 rue de l’Exemple", "postal_code": "75008", "city": "Paris"}
BOTH = (LineWish("harbour", 2), LineWish("pocket", 1))


@pytest.fixture
def small(show):
    return add_small_edition(show)


@contextmanager
def refused(kind, words):
    with pytest.raises(kind) as caught:
        yield caught
    assert words in caught.value.sentence


def held(pledge):
    return sorted(pledge.held_copies.values_list("edition__code", "number"))


def test_one_order_holds_the_lowest_of_each_edition(show, small):
    place(show, lines=(LineWish("pocket", 1),))
    pledge = place(show, lines=BOTH)
    assert held(pledge) == [("harbour", 1), ("harbour", 2), ("pocket", 2)]
    assert {copy.line.edition_id == copy.edition_id for copy in pledge.held_copies.all()} == {True}
    assert (pledge.copies, pledge.prints_minor) == (3, 2 * 4_500 + 1_400)
    assert (pledge.make_cost_minor, pledge.pack_cost_minor) == (2 * 420 + 90, 2 * 180 + 80)
    assert [check().difference for check in (check_copies, check_holds, check_orders)] == [None] * 3


def test_too_few_of_one_edition_hold_nothing_of_the_other(show, small):
    place(show, lines=(LineWish("pocket", 2),))
    with refused(NotEnoughCopies, "Only 1 copy of “Pocket” is free") as caught:
        place(show, lines=(LineWish("harbour", 1), LineWish("pocket", 2)))
    assert caught.value.left == 1
    assert Pledge.objects.count() == 1
    assert Copy.objects.exclude(state=Copy.State.FREE).count() == 2


def test_two_lines_of_one_edition_count_together(show, small):
    place(show, lines=(LineWish("pocket", 1),))
    lines = (LineWish("pocket", 2), LineWish("pocket", 1, "Wim", FRIEND))
    with pytest.raises(NotEnoughCopies) as caught:
        place(show, lines=lines)
    assert caught.value.left == 2 and Pledge.objects.count() == 1


def test_an_edition_that_is_gone_is_named(show, small):
    for _ in range(3):
        place(show, lines=(LineWish("pocket", 1),))
    with refused(NotEnoughCopies, "No copy of “Pocket” is free now"):
        place(show, lines=BOTH)
    with refused(NotOnSale, "“nowhere” is not on offer"):
        place(show, lines=(LineWish("nowhere", 1),))


def test_each_edition_has_its_own_limit(show, small):
    place(show, email="mary@example.org", lines=(LineWish("harbour", 3),))
    place(show, email="MARY@example.org", lines=(LineWish("pocket", 1),))
    with refused(OverLimit, "One person can have 3 of “Harbour light” at most, and 3 are"):
        place(show, email="mary@example.org", lines=BOTH)


def test_an_edition_is_sold_between_its_own_moments(show, small):
    Edition.objects.filter(pk=small.pk).update(sold_from_at=NOW, sold_until_at=NOW + timedelta(days=2))
    with refused(NotOnSale, "can be ordered from 10 March 2026, 13:00 CET"):
        place(show, lines=BOTH, now=NOW - timedelta(seconds=1))
    place(show, lines=BOTH, now=NOW)
    with refused(NotOnSale, "could be ordered until 12 March 2026, 13:00 CET"):
        place(show, lines=BOTH, now=NOW + timedelta(days=2))


def test_an_order_that_ends_gives_every_copy_back(show, small):
    cancel_pledge(pledge=place(show, lines=BOTH), by_backer=True, now=NOW)
    lapsing = place(show, lines=BOTH)
    assert held(lapsing) == [("harbour", 1), ("harbour", 2), ("pocket", 1)]
    assert lapse_due_holds(now=lapsing.hold_until_at + timedelta(seconds=1)) == 1
    assert not Copy.objects.exclude(state=Copy.State.FREE, pledge=None, line=None).exists()
    pay(lapsing)  # late, but all copies are there still
    assert held(lapsing) == [("harbour", 1), ("harbour", 2), ("pocket", 1)]


def test_late_money_takes_all_copies_or_none(show, small):
    late = place(show, lines=BOTH)
    lapse_due_holds(now=late.hold_until_at + timedelta(seconds=1))
    place(show, lines=(LineWish("pocket", 3),))
    pay(late)
    late.refresh_from_db()
    assert late.state == Pledge.State.LAPSED and not late.held_copies.exists()


def test_what_was_offered_to_a_waiter_is_theirs_first(show, small):
    waiter = Waiter.objects.create(
        edition=small, name="W", email="w@example.org", asked_at=NOW, state="offered", offer_until_at=NOW
    )
    Copy.objects.filter(edition=small, number=3).update(state=Copy.State.OFFERED, waiter=waiter)
    from django.db import transaction

    pledge = place(show, lines=(LineWish("pocket", 1),))
    with transaction.atomic():
        Copy.objects.filter(pledge=pledge).update(state=Copy.State.FREE, pledge=None, line=None)
        take_copies(pledge=pledge, waiter=waiter, now=NOW)
    assert held(pledge) == [("pocket", 3)]


def test_a_proof_is_never_sold(show, small):
    Copy.objects.create(edition=small, number=1, state=Copy.State.PROOF)
    Edition.objects.filter(pk=small.pk).update(proofs=1)
    place(show, lines=(LineWish("pocket", 3),))
    with pytest.raises(NotEnoughCopies):
        place(show, lines=(LineWish("pocket", 1),))
    assert check_copies().difference is None


def test_postage_is_summed_over_the_addresses(show, small):
    pledge = place(show, lines=(*BOTH, LineWish("harbour", 1, "Wim Sample", FRIEND)))
    assert (pledge.postage_minor, pledge.postage_cost_minor) == (490 + 890, 450 + 820)
    line = pledge.lines.get(recipient_name="Wim Sample")
    assert line.address == FRIEND
    text = OutboxMessage.objects.get(name="pledge_placed").text
    assert "Postage to Germany and France" in text and "For Wim Sample it goes to:" in text
    assert "1 print of “Harbour light”, for Wim Sample" in text


def test_tax_that_prices_hold_is_frozen_and_kept(show, small):
    Show.objects.update(set_aside_bp=1_000)
    set_taxes(show=show, rates=[TaxWish("VAT", ("DE",), 700)])
    pledge = place(show, lines=BOTH, gift_minor=1_000)
    base = pledge.prints_minor + pledge.postage_minor
    assert (pledge.tax_name, pledge.tax_bp, pledge.tax_added_minor) == ("VAT", 700, 0)
    assert pledge.tax_minor == portion(base, numerator=700, denominator=10_700)
    assert pledge.total_minor == base + 1_000
    assert pledge.set_aside_minor == pledge.tax_minor + round((pledge.total_minor - pledge.tax_minor) / 10)
    assert "It holds 7 % VAT: €" in OutboxMessage.objects.get(name="pledge_placed").text
    set_taxes(show=show, rates=[])
    pledge.refresh_from_db()
    assert pledge.tax_bp == 700


def test_tax_that_is_added_is_asked_for_and_never_wall_money(show):
    set_taxes(show=show, rates=[TaxWish("sales tax", ("GB",), 2_000, is_added=True, covers_postage=False)])
    pledge = place(show, address=LONDON_ADDRESS)
    assert (pledge.tax_minor, pledge.tax_added_minor) == (900, 900)
    assert pledge.total_minor == 4_500 + 890 + 900
    assert "20 % sales tax, added: €9.00" in OutboxMessage.objects.get(name="pledge_placed").text
    pay(pledge)
    assert read_money(show).in_hand.before_contingency_minor == 4_500 + 890 - 420 - 180 - 820
    assert place(show).tax_minor == 0


def test_a_gift_bears_no_tax(show):
    set_taxes(show=show, rates=[TaxWish("VAT", ("*",), 700)])
    assert place(show, copies=0).tax_minor == 0


def test_a_friend_can_move_within_the_same_postage(show):
    pledge = place(show, lines=(LineWish("harbour", 1), LineWish("harbour", 1, "Wim Sample", FRIEND)))
    lyon = FRIEND | {"city": "Lyon", "postal_code": "69001"}
    for _ in range(2):
        change_friend_address(pledge=pledge, number=1, name="Wim Sample", address=lyon, now=NOW)
    assert pledge.lines.get(recipient_name="Wim Sample").address["city"] == "Lyon"
    message = OutboxMessage.objects.get(name="address_changed")
    assert (
        message.recipient == pledge.email
        and "What is for Wim Sample" in message.text
        and "LYON" in message.text.upper()
    )
    home = BERLIN_ADDRESS | {"city": "Potsdam"}
    change_friend_address(pledge=pledge, number=1, name="Wim Sample", address=home, now=NOW)
    pledge.refresh_from_db()
    assert (pledge.postage_minor, pledge.postage_cost_minor) == (490 + 890, 450 + 450)
    with pytest.raises(DearerPostage):
        change_friend_address(pledge=pledge, number=1, name="W", address={"country_code": "US", "city": "X"}, now=NOW)
    with refused(NotReady, "to a friend"):
        change_friend_address(pledge=pledge, number=2, name="W", address=home, now=NOW)


def test_an_address_in_the_same_country_never_costs_more(show):
    pledge = place(show)
    show.postage_rates.filter(zone="Germany").update(charge_minor=900)
    moved = change_address(pledge=pledge, name="M", address=BERLIN_ADDRESS | {"city": "Potsdam"}, now=NOW)
    assert (moved.address["city"], moved.postage_cost_minor) == ("Potsdam", 450)


def test_another_tax_keeps_an_order_where_it_is(show):
    set_taxes(show=show, rates=[TaxWish("VAT", ("GB",), 2_000), TaxWish("VAT", ("FR",), 550)])
    pledge = place(show, address=LONDON_ADDRESS)
    with pytest.raises(OtherTax):
        change_address(pledge=pledge, name="M", address=FRIEND, now=NOW)
    change_address(pledge=pledge, name="M", address=LONDON_ADDRESS | {"city": "York"}, now=NOW)


def test_a_friends_address_is_fixed_once_printing_has_ended(show):
    pledge = place(show, lines=(LineWish("harbour", 1, "Wim", FRIEND),))
    Show.objects.update(state=Show.State.PRINTED, closed_at=NOW)
    with pytest.raises(TooLateToChange):
        change_friend_address(pledge=pledge, number=1, name="W", address=FRIEND, now=NOW)


def test_a_line_of_nothing_is_no_order(show):
    with pytest.raises(ValueError, match="one copy or more"):
        place(show, lines=(LineWish("harbour", 0),))


@pytest.mark.parametrize(
    ("rates", "words"),
    [
        ([TaxWish("VAT", (), 700)], "names no country"),
        ([TaxWish("VAT", ("DE", "*"), 700)], "make it two rows"),
        ([TaxWish("VAT", ("DE",), 700), TaxWish("more", ("DE",), 100)], "DE is in the rows “VAT” and “more”"),
    ],
)
def test_taxes_that_contradict_each_other_are_refused(show, rates, words):
    with refused(NotReady, words):
        set_taxes(show=show, rates=rates)
    assert not show.tax_rates.exists()


def test_the_union_is_opened_and_the_same_table_is_kept(show):
    rates = [TaxWish("VAT", ("DE",), 700), TaxWish("VAT", ("EU",), 1_900)]
    first = [rate.pk for rate in set_taxes(show=show, rates=rates)]
    assert [rate.pk for rate in set_taxes(show=show, rates=rates)] == first
    union = show.tax_rates.get(rate_bp=1_900).country_codes
    assert "FR" in union and "DE" not in union
