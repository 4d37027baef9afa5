"""Prices on the wall: what is wanted is left, the gallery's share is of the right sum, nothing is lost."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.measures.money import portion_bp
from campaign.planning.errors import InvalidRequest
from campaign.planning.prices.wall_prices import SaleTerms, WorkForSale, price_list, sale_price, share_sale, step_nets

MONEY = st.integers(0, 500_000)


@st.composite
def works(draw):
    return WorkForSale("w", "Ebb", draw(MONEY), make_minor=draw(MONEY), frame_minor=draw(MONEY))


@st.composite
def terms(draw):
    return SaleTerms(draw(st.integers(0, 9_500)), draw(st.sampled_from([1, 5, 100, 500, 1_000])), draw(st.booleans()))


def test_a_price_is_rounded_up_to_whole_tens():
    found = sale_price(WorkForSale("w", "Ebb", 7_500), terms=SaleTerms(3_000, round_to_minor=1_000))
    assert (found.price_minor, found.gallery_minor, found.artist_minor) == (11_000, 3_300, 7_700)
    assert found.beyond_minor == 200


def test_a_frame_that_is_passed_through_makes_the_price_lower():
    work = WorkForSale("w", "Ebb", 20_000, make_minor=9_000, frame_minor=5_000)
    whole = sale_price(work, terms=SaleTerms(4_000))
    passed = sale_price(work, terms=SaleTerms(4_000, frames_pass_through=True))
    assert (whole.price_minor, whole.gallery_minor) == (33_334, 13_334)
    assert (passed.price_minor, passed.gallery_minor) == (30_000, 10_000)
    assert passed.artist_minor == 20_000
    assert passed.margin_minor == 11_000


def test_a_wanted_sum_below_the_frame_leaves_the_gallery_nothing():
    work = WorkForSale("w", "Ebb", 3_000, frame_minor=5_000)
    found = sale_price(work, terms=SaleTerms(4_000, frames_pass_through=True))
    assert (found.price_minor, found.gallery_minor) == (3_000, 0)


def test_a_sale_that_does_not_cover_the_making_is_below_zero():
    found = share_sale(WorkForSale("w", "Ebb", 0, make_minor=10_700), price_minor=10_000, terms=SaleTerms(4_000))
    assert found.margin_minor == -4_700


def test_the_list_adds_up():
    works = [WorkForSale("a", "A", 6_000, make_minor=1_000), WorkForSale("b", "B", 12_000, make_minor=2_000)]
    found = price_list(works, terms=SaleTerms(4_000))
    assert [one.price_minor for one in found.prices] == [10_000, 20_000]
    assert (found.price_minor, found.gallery_minor, found.artist_minor) == (30_000, 12_000, 18_000)
    assert found.margin_minor == 15_000
    assert price_list([], terms=SaleTerms(0)).price_minor == 0


def test_later_steps_of_an_edition_ask_more_of_the_first_sum():
    assert step_nets(9_999, steps=4, raise_bp=1_000) == (9_999, 10_999, 11_999, 12_999)
    with pytest.raises(InvalidRequest, match="steps"):
        step_nets(100, steps=0, raise_bp=0)


@pytest.mark.parametrize(
    "kwargs", [{"commission_bp": -1}, {"commission_bp": 10_000}, {"commission_bp": 0, "round_to_minor": 0}]
)
def test_terms_that_give_no_price_are_refused(kwargs):
    with pytest.raises(InvalidRequest):
        SaleTerms(**kwargs)


@given(works(), terms())
def test_the_wanted_sum_is_left_and_no_lower_price_on_the_rounding_leaves_it(work, terms):
    found = sale_price(work, terms=terms)
    assert found.price_minor % terms.round_to_minor == 0
    assert found.artist_minor + found.gallery_minor == found.price_minor
    assert found.artist_minor >= work.net_minor
    lower = found.price_minor - terms.round_to_minor
    if lower >= 0:
        frame = work.frame_minor if terms.frames_pass_through else 0
        # Exactly, before the share is rounded to a whole minor unit: the house never counts on rounding.
        left = lower * 10_000 - max(0, lower - frame) * terms.commission_bp
        assert left < work.net_minor * 10_000


@given(works(), terms(), MONEY)
def test_a_sale_loses_nothing(work, terms, price):
    found = share_sale(work, price_minor=price, terms=terms)
    assert found.gallery_minor + found.artist_minor == price
    assert found.margin_minor == found.artist_minor - work.make_minor
    if not terms.frames_pass_through:
        assert found.gallery_minor == portion_bp(price, bp=terms.commission_bp)
