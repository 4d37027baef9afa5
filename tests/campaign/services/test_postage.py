"""Postage by zone: every country once, nothing that would leave buyers at home without a price."""

from datetime import date

import pytest

from campaign.errors import NotReady
from campaign.queries.postage import Load, find_postage
from campaign.services.postage import PostageWish, set_postage
from tests.builders import NOW, make_draft, place

TODAY = date(2026, 3, 10)
HOME = PostageWish("Home", ("DE",), 1, 490, 450)


@pytest.fixture
def draft(db):
    return make_draft()


def test_the_union_is_its_members_that_no_zone_names_itself(draft):
    set_postage(show=draft, rates=[HOME, PostageWish("Near", ("EU", "CH"), 2, 900, 800)], now=NOW)
    near = draft.postage_rates.get(zone="Near").country_codes
    assert {"FR", "PL", "CH"} <= set(near)
    assert "DE" not in near
    assert find_postage(list(draft.postage_rates.all()), country="FR", load=Load(2), today=TODAY).charge_minor == 900
    assert find_postage(list(draft.postage_rates.all()), country="US", load=Load(1), today=TODAY) is None


def test_later_steps_of_a_zone_have_its_countries(draft):
    rates = [HOME, PostageWish("Home", (), 3, 690, 600), PostageWish("Far", ("*",), 3, 1_900, 1_700)]
    set_postage(show=draft, rates=rates, now=NOW)
    assert find_postage(list(draft.postage_rates.all()), country="DE", load=Load(3), today=TODAY).charge_minor == 690
    assert find_postage(list(draft.postage_rates.all()), country="NZ", load=Load(2), today=TODAY).charge_minor == 1_900
    assert draft.postage_rates.count() == 3


@pytest.mark.parametrize(
    ("rates", "words"),
    [
        ([HOME, PostageWish("Far", (), 1, 1, 1)], "“Far” names no country"),
        ([HOME, PostageWish("Near", ("FR", "DE"), 1, 1, 1)], "DE is in the zones “Home” and “Near”"),
        ([HOME, HOME], "two rows for up to 1 copies"),
        ([HOME, PostageWish("Far", ("US", "*"), 1, 1, 1)], "make it two zones"),
    ],
)
def test_a_table_that_does_not_say_one_price_is_refused_whole(draft, rates, words):
    before = list(draft.postage_rates.values())
    with pytest.raises(NotReady, match=words):
        set_postage(show=draft, rates=rates, now=NOW)
    assert list(draft.postage_rates.values()) == before


def test_while_orders_are_taken_the_own_country_keeps_a_price(db):
    show = make_draft(state="open")
    with pytest.raises(NotReady, match="No zone has your own country, DE"):
        set_postage(show=show, rates=[PostageWish("Near", ("FR",), 1, 900, 800)], now=NOW)
    with pytest.raises(NotReady, match="No zone"):
        set_postage(show=show, rates=[], now=NOW)
    set_postage(show=show, rates=[PostageWish("All", ("*",), 3, 900, 800)], now=NOW)
    assert place(show).postage_minor == 900


def test_orders_keep_their_postage_and_the_same_table_changes_nothing(db):
    show = make_draft(state="open")
    pledge = place(show)
    set_postage(show=show, rates=[HOME], now=NOW)
    keys = list(show.postage_rates.values_list("pk", flat=True))
    set_postage(show=show, rates=[HOME], now=NOW)
    pledge.refresh_from_db()
    assert (pledge.postage_minor, pledge.postage_cost_minor) == (490, 450)
    assert list(show.postage_rates.values_list("pk", flat=True)) == keys
