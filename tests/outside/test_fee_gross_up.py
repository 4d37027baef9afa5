"""
Source: arithmetic of a percentage fee plus a fixed part, gross = (net + fixed) / (1 − percent), worked out to five
    decimals in the project's notes on the trade (§4.2). The rates are examples; common practice, no source.
Edition: notes read 2026-11-25.
What is checked: the charge that leaves a wanted net, rounded up to the minor unit, the fee on a charge, what an order
    leaves and how many orders cover a fixed need.
Tolerance: none, whole cents.
"""

import pytest

from campaign.measures.money import gross_up, portion_bp
from campaign.planning.costing.quantities import Wording
from campaign.planning.prices.pricing import (
    Buyers,
    CopyTerms,
    PostZone,
    PriceRun,
    copies_for,
    money_by_copies,
    net_of_copy,
)

pytestmark = pytest.mark.outside


@pytest.mark.parametrize(
    ("net", "fee_bp", "fixed", "charged"),
    [
        pytest.param(10_000, 290, 30, 10_330, id="103.29557 charged as 103.30"),
        pytest.param(5_000, 290, 30, 5_181, id="51.80227 charged as 51.81"),
        pytest.param(4_000, 150, 25, 4_087, id="40.86294 charged as 40.87"),
    ],
)
def test_charge_is_the_exact_quotient_rounded_up(net, fee_bp, fixed, charged):
    """Notes §4.2, table "Gross-up to net n"."""
    assert gross_up(net, fee_bp=fee_bp, fee_fixed_minor=fixed) == charged
    assert charged - portion_bp(charged, bp=fee_bp) - fixed >= net


@pytest.mark.parametrize(("gross", "fee"), [(6_000, 204), (10_000, 320), (25_000, 755)])
def test_fee_on_a_charge(gross, fee):
    """Notes §4.2, fee on gross at 2.9 % + 0.30."""
    assert portion_bp(gross, bp=290) + 30 == fee


def test_fee_that_is_a_tie_goes_to_the_even_cent():
    """Notes §4.2 give 1.03 for 25.00 (72.5 + 30, rounded up); the house rounds half to even and says 1.02."""
    assert portion_bp(2_500, bp=290) + 30 == 102


ORDER = CopyTerms(make_minor=620, pack_minor=180, fee_bp=290, fee_fixed_minor=30)
POST = PostZone("anywhere", charge_minor=0, cost_minor=750)


def test_what_an_order_leaves():
    """Notes §4.2, break-even: price 60, fee 2.04, postage 7.50, packing 1.80, print 6.20 leave 42.46."""
    found = net_of_copy(ORDER, price_minor=6_000, zone=POST, wording=Wording("EUR"))
    assert [line.amount_minor for line in found.lines] == [6_000, -204, -620, -180, -750]
    assert found.net_minor == 4_246


def test_orders_that_cover_a_fixed_need():
    """Notes §4.2: a need of 1500 takes 36 orders (35.327); 35 are short by 13.90, 36 leave 28.56."""
    money = money_by_copies(ORDER, runs=[PriceRun(60, 6_000)], buyers=Buyers((POST,), (1,)))
    found = copies_for(150_000, money=money)
    assert (found.copies, found.before_minor, found.beyond_minor) == (36, 1_390, 2_856)


def test_tax_inside_an_order():
    """Notes §4.2: net = gross / (1 + rate), 120.00 at 20 % is 100.00 and 20.00."""
    found = net_of_copy(CopyTerms(tax_bp=2_000), price_minor=12_000, zone=PostZone("anywhere"), wording=Wording("EUR"))
    assert [line.amount_minor for line in found.lines] == [12_000, -2_000]
    assert found.net_minor == 10_000
