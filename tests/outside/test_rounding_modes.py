"""
Source: the rounding direction "roundTiesToEven" of IEEE 754-2008 §4.3.1, as Python's decimal module states it
    (ROUND_HALF_EVEN, "round to nearest with ties going to nearest even integer"). From memory.
Edition: IEEE 754-2008; Python 3.11 library reference; read 2026-11-25.
What is checked: shares of money and millimetres are rounded half to even, in integers.
Tolerance: none, whole numbers.
"""

from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal

import pytest

from campaign.measures.lengths import parse_length_mm
from campaign.measures.money import portion, portion_bp

pytestmark = pytest.mark.outside


def test_the_published_tie_goes_to_even_and_not_up():
    """2.665 to two places: half-even 2.66, half-up 2.67 (IEEE 754-2008 §4.3.1)."""
    cents = Decimal("0.01")
    assert Decimal("2.665").quantize(cents, ROUND_HALF_EVEN) == Decimal("2.66")
    assert Decimal("2.665").quantize(cents, ROUND_HALF_UP) == Decimal("2.67")
    assert portion(2665, numerator=1, denominator=10) == 266


def test_binary_floating_point_is_not_what_decides():
    """2.675 is a tie in decimal; stored in binary it is less, and a float rounds it to 2.67 (Python tutorial §15)."""
    assert round(2.675, 2) == 2.67
    assert portion(2675, numerator=1, denominator=10) == 268


def test_every_tenth_agrees_with_the_decimal_arithmetic():
    """Python library reference, decimal, ROUND_HALF_EVEN."""
    for tenths in range(-1005, 1006):
        expected = Decimal(tenths).scaleb(-1).quantize(Decimal(1), ROUND_HALF_EVEN)
        assert portion(tenths, numerator=1, denominator=10) == expected


def test_basis_points_of_a_price_agree_with_the_decimal_arithmetic():
    """Python library reference, decimal, ROUND_HALF_EVEN; 2.9 % of every price up to 100.00."""
    for price in range(10_001):
        expected = (Decimal(price) * 290 / 10_000).quantize(Decimal(1), ROUND_HALF_EVEN)
        assert portion_bp(price, bp=290) == expected


@pytest.mark.parametrize(("text", "mm"), [("10.5", 10), ("11.5", 12), ("10.5000001", 11)])
def test_half_millimetres_go_to_the_even_one(text, mm):
    """IEEE 754-2008 §4.3.1, roundTiesToEven."""
    assert parse_length_mm(text) == mm
