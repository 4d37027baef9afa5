"""
Source: the international yard and pound agreement of 1959: 1 yd = 0.9144 m, so 1 in = 25.4 mm exactly;
    1 lb = 0.45359237 kg exactly. Photo and roll sizes in inches: ISO 1008 and paper makers' lists, from memory.
Edition: 1959; read 2026-11-25 in the project's notes on the trade (units, §3.1, §6.4).
What is checked: inches, feet, pounds and ounces as typed, in whole millimetres and grams.
Tolerance: half a millimetre, half a gram (the house keeps whole ones).
"""

import pytest

from campaign.measures.lengths import format_size, parse_length_mm, parse_size_mm
from campaign.measures.weights import parse_weight_g

pytestmark = pytest.mark.outside


@pytest.mark.parametrize(
    ("text", "mm"),
    [('17"', 432), ("24 in", 610), ("36 in", 914), ('44"', 1118), ("60 in", 1524), ("3 ft", 914), ("1' 0\"", 305)],
)
def test_roll_widths_in_inches(text, mm):
    """Agreement of 1959; roll widths 17 in (432 mm) to 60 in (1524 mm) from paper makers' lists, from memory."""
    assert parse_length_mm(text) == mm


def test_ten_thousandths_of_an_inch_add_up_to_the_exact_millimetre():
    """1 in = 25.4 mm exactly: 500 in are 12.7 m."""
    assert parse_length_mm("500 in") == 12_700


@pytest.mark.parametrize("size", ["4 × 6", "5 × 7", "8 × 10", "11 × 14", "16 × 20", "20 × 24", "24 × 30", "24 × 36"])
def test_photo_sizes_are_written_back_in_round_inches(size):
    """Photo sizes in inches (ISO 1008 and paper makers' lists, from memory)."""
    assert format_size(*parse_size_mm(f"{size} in"), unit="in") == f"{size} in"


def test_label_of_four_by_six_inches():
    """4 × 6 in is 101.6 × 152.4 mm (notes §6.4)."""
    assert parse_size_mm("4 x 6 in") == (102, 152)


@pytest.mark.parametrize(("text", "grams"), [("1 lb", 454), ("2.2046226 lb", 1000), ("16 oz", 454), ("1 oz", 28)])
def test_pounds_and_ounces(text, grams):
    """Agreement of 1959: 1 lb is 453.59237 g, 16 ounces to the pound."""
    assert parse_weight_g(text) == grams
