"""
Source: price = net / (1 − commission), as gallery owners' question-and-answer columns use it; the worked figures
    are computed in the project's notes on the trade (§4.1).
Edition: notes read 2026-11-25.
What is checked: a price that leaves a wanted net, the split of a sale (one side computed, the other the rest), what is
    left of it after the making, and a frame that carries no share.
Tolerance: none, whole cents; the notes round 107.142857 to the nearest cent, the house rounds a price up.
"""

import pytest

from campaign.measures.money import gross_up, portion, portion_bp
from campaign.planning.prices.wall_prices import SaleTerms, WorkForSale, sale_price, share_sale

pytestmark = pytest.mark.outside


@pytest.mark.parametrize(("net", "commission_bp", "price"), [(6_000, 4_000, 10_000), (12_000, 5_000, 24_000)])
def test_price_that_leaves_the_wanted_net(net, commission_bp, price):
    """Notes §4.1: 60 at 40 % is 100.00, 120 at 50 % is 240.00."""
    assert gross_up(net, fee_bp=commission_bp, fee_fixed_minor=0) == price


def test_price_between_two_cents_is_the_one_that_does_not_fall_short():
    """Notes §4.1: 75 at 30 % is 107.142857, so 107.14 by rounding; 107.15 is the first to net 75.00."""
    price = gross_up(7_500, fee_bp=3_000, fee_fixed_minor=0)
    assert price == 10_715
    assert 10_714 * 7_000 < 7_500 * 10_000 <= price * 7_000


@pytest.mark.parametrize(("price", "gallery", "artist"), [(40_000, 16_000, 24_000), (33_333, 13_333, 20_000)])
def test_sale_is_split_without_losing_a_cent(price, gallery, artist):
    """Notes §4.1: 400 at 40 % is 160 and 240; 333.33 at 40 % (133.332) is 133.33 and 200.00."""
    assert portion_bp(price, bp=4_000) == gallery
    assert price - portion_bp(price, bp=4_000) == artist


def test_tax_inside_a_price():
    """Notes §4.2: net = gross / (1 + rate), 120.00 at 20 % is 100.00 and 20.00."""
    assert portion(12_000, numerator=20, denominator=120) == 2_000


@pytest.mark.parametrize(
    ("net", "commission_bp", "price"), [(6_000, 4_000, 10_000), (12_000, 5_000, 24_000), (7_500, 3_000, 10_715)]
)
def test_price_list_leaves_the_wanted_net(net, commission_bp, price):
    """Notes §4.1, table "target net"; 107.142857 is rounded up, see above."""
    found = sale_price(WorkForSale("w", "A work", net), terms=SaleTerms(commission_bp))
    assert found.price_minor == price
    assert found.artist_minor >= net


def test_margin_of_a_wall_sale():
    """Notes §4.1: 400 at 40 % is 160 and 240; less a production cost of 107 the artist keeps 133."""
    work = WorkForSale("w", "A work", 24_000, make_minor=10_700)
    found = sale_price(work, terms=SaleTerms(4_000))
    assert (found.price_minor, found.gallery_minor, found.artist_minor) == (40_000, 16_000, 24_000)
    assert found.margin_minor == 13_300


def test_share_of_an_odd_price_is_computed_once():
    """Notes §4.1: 333.33 at 40 % is 133.332, so the gallery gets 133.33 and the artist 200.00."""
    found = share_sale(WorkForSale("w", "A work", 0), price_minor=33_333, terms=SaleTerms(4_000))
    assert (found.gallery_minor, found.artist_minor) == (13_333, 20_000)


def test_share_leaves_out_a_frame_that_is_passed_through():
    """Notes §4.1: commission on price - frame cost where the contract excludes framing (common practice, no source)."""
    work = WorkForSale("w", "A work", 0, frame_minor=10_000)
    found = share_sale(work, price_minor=40_000, terms=SaleTerms(4_000, frames_pass_through=True))
    assert (found.gallery_minor, found.artist_minor) == (12_000, 28_000)
