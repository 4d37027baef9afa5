"""Limits of a service, one by one, and weight by size."""

import pytest

from fulfilment.packing import Box, Limits, charged_mass_g, limit_faults


@pytest.mark.parametrize(
    ("limits", "fault"),
    [
        (Limits("x", mass_g=999), "weight 1,000 g, at most 999 g"),
        (Limits("x", longest_mm=499), "longest side 500 mm, at most 499 mm"),
        (Limits("x", sum_mm=799), "sides together 800 mm, at most 799 mm"),
        (Limits("x", length_and_girth_mm=1_099), "length and girth 1,100 mm, at most 1,099 mm"),
        (Limits("x", least_face_mm=(600, 90)), "face 500 × 200 mm, at least 600 × 90 mm"),
    ],
)
def test_each_limit_is_said_by_itself(limits, fault):
    assert limit_faults(Box(200, 500, 100), mass_g=1_000, limits=limits) == (fault,)


def test_what_is_exactly_at_its_limits_is_taken():
    limits = Limits("x", mass_g=1_000, longest_mm=500, sum_mm=800, length_and_girth_mm=1_100, least_face_mm=(500, 200))
    assert limit_faults(Box(500, 200, 100), mass_g=1_000, limits=limits) == ()


def test_a_tube_without_limits_of_its_own_is_a_box():
    assert limit_faults(Box(500, 80, 80, is_tube=True), mass_g=1, limits=Limits("x", longest_mm=400)) == (
        "longest side 500 mm, at most 400 mm",
    )


def test_the_greater_of_two_weights_is_paid_for():
    air = Limits("air", divisor_mm3_per_g=5_000)
    assert charged_mass_g(Box(100, 100, 100), mass_g=900, limits=air) == 900
    assert charged_mass_g(Box(100, 100, 100), mass_g=100, limits=air) == 200
    assert charged_mass_g(Box(100, 100, 101), mass_g=100, limits=air) == 202
    assert charged_mass_g(Box(100, 100, 100), mass_g=100, limits=Limits("none")) == 100


def test_a_weight_by_size_that_cannot_be_still_fits_into_a_row():
    box = Box(20_000, 20_000, 20_000)
    assert charged_mass_g(box, mass_g=500, limits=Limits("odd", divisor_mm3_per_g=1)) == 1_000_000_000
