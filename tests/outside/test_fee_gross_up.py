"""
Source: arithmetic of a percentage fee plus a fixed part, gross = (net + fixed) / (1 − percent), worked out to five
    decimals in the project's notes on the trade (§4.2). The rates are examples; common practice, no source.
Edition: notes read 2026-11-25.
What is checked: the charge that leaves a wanted net, rounded up to the minor unit, and the fee on a charge.
Tolerance: none, whole cents.
"""

import pytest

from campaign.measures.money import gross_up, portion_bp

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
