"""
Source: size limits of letter post as published by Cyprus Post, Croatian Post and Belpochta (Universal Postal Union);
    girth and length-and-girth of older USPS rate help texts and DHL US help; weight by size: older USPS help text
    (divisor 194), a retailer's explainer (166), public repositories (139); 5000 and 6000 cm³ a kilogram for air.
Edition: trade notes §6.3.
What is checked: limits as faults or none, girth, weight by size. An ounce less than a pound counts as the next one.
Tolerance: none; inches are taken as 25.4 mm, sizes rounded down to whole millimetres where said.
"""

import math

import pytest

from fulfilment.packing import LETTER_POST, Box, Limits, charged_mass_g, limit_faults

pytestmark = pytest.mark.outside


def inches(*sides):
    return [round(25.4 * side) for side in sides]


@pytest.mark.parametrize(
    ("sides", "length_and_girth"),
    [((30, 15, 10), 80), ((24, 18, 4), 68), ((40, 30, 6), 112), ((48, 36, 6), 132), ((108, 10, 1), 130)],
)
def test_published_lengths_and_girths(sides, length_and_girth):
    box = Box(*sides)  # in inches: the sum knows no unit
    assert box.sides_mm[0] + box.girth_mm == length_and_girth


@pytest.mark.parametrize(
    ("sides", "most", "is_taken"),
    [((40, 30, 6), 108, False), ((40, 30, 6), 130, True), ((48, 36, 6), 130, False), ((48, 36, 6), 165, True)],
)
def test_published_limits_of_length_and_girth(sides, most, is_taken):
    limits = Limits("parcel", length_and_girth_mm=round(25.4 * most))
    assert (limit_faults(Box(*inches(*sides)), mass_g=1, limits=limits) == ()) is is_taken


@pytest.mark.parametrize(
    ("box", "is_taken"),
    [
        (Box(900, 70, 70, is_tube=True), True),  # 900 + 2 × 70 = 1040
        (Box(836, 102, 102, is_tube=True), True),  # a tube of 4 in: up to 836.8 mm
        (Box(838, 102, 102, is_tube=True), False),
        (Box(914, 70, 70, is_tube=True), False),  # longer than 900
        (Box(320, 450, 10), True),  # A3 pack: 780
        (Box(440, 610, 10), False),  # A2 pack: the 600 side
        (Box(139, 90, 5), False),  # face of 90 × 140 at least
        (Box(140, 90, 5), True),
    ],
)
def test_letter_post(box, is_taken):
    assert (limit_faults(box, mass_g=2_000, limits=LETTER_POST) == ()) is is_taken


def test_letter_post_weighs_two_kilograms_at_most():
    assert limit_faults(Box(320, 450, 10), mass_g=2_001, limits=LETTER_POST)


@pytest.mark.parametrize(
    ("sides", "divisor", "above", "pounds"),
    [
        ((24, 18, 4), 139, 0, 13), ((24, 18, 4), 166, 0, 11), ((20, 16, 6), 139, 0, 14), ((20, 16, 6), 166, 0, 12),
        ((12, 12, 14), 139, 0, 15), ((12, 12, 14), 166, 0, 13), ((12, 12, 14), 194, 0, 11),
        ((24, 18, 4), 166, 1728, 1),  # not over a cubic foot: the scales decide
    ],
)  # fmt: skip
def test_published_weights_by_size_in_pounds(sides, divisor, above, pounds):
    # In cubic inches and pounds: the rule knows no unit.
    limits = Limits("parcel", divisor_mm3_per_g=divisor, divisor_from_mm3=above)
    assert charged_mass_g(Box(*sides), mass_g=1, limits=limits) == pounds


@pytest.mark.parametrize(("divisor", "grams"), [(5_000, 5_400), (6_000, 4_500)])
def test_published_weights_by_size_in_kilograms(divisor, grams):
    limits = Limits("air", divisor_mm3_per_g=divisor)
    assert charged_mass_g(Box(600, 450, 100), mass_g=1, limits=limits) == grams


def test_a_tube_of_four_inches_is_319_mm_around():
    # The figure a conservation leaflet (NPS Conserve O Gram 13/5) rolls sheets by: a shorter one does not lap.
    assert math.pi * 101.6 == pytest.approx(319.2, abs=0.05)
