"""
Source: hook height formula and the 57 in example from a painter's hanging guide (beecham.ca) and the Hilliard Art
    Museum blog; even spacing computed from the stated formula.
Edition: notes on the trade §1.2 and §1.3, read 2026-11-25.
What is checked: hook_y = centre + H / 2 - drop; g = (W - sum w) / (n + 1).
Tolerance: none in millimetres; inch examples are checked in sixteenths of an inch, where they are whole.
"""

import pytest

from campaign.planning.placing.wall import equal_gaps, hook_height_mm, place_evenly

pytestmark = pytest.mark.outside


@pytest.mark.parametrize(
    ("centre", "height", "drop", "hook"),
    [
        pytest.param(57, 20, 2, 65, id="beecham.ca, inches"),
        pytest.param(60, 20, 2, 68, id="notes, inches"),
        pytest.param(60, 30, 4, 71, id="notes, inches, tall"),
        pytest.param(1450, 600, 70, 1680, id="notes"),
        pytest.param(1524, 914, 102, 1879, id="notes, 60 in centre"),
        pytest.param(1500, 530, 0, 1765, id="notes, cleat at the top edge"),
    ],
)
def test_hook_height_of_the_guides(centre, height, drop, hook):
    """Hilliard Art Museum and beecham.ca: the same formula; lengths in the unit of each row."""
    assert hook_height_mm(centre_mm=centre, height_mm=height, drop_mm=drop) == hook


@pytest.mark.parametrize(
    ("length", "widths", "gap", "centres"),
    [
        (6000, [600] * 5, 500, [800, 1900, 3000, 4100, 5200]),
        (240, [24] * 3, 42, [54, 120, 186]),
        (5000, [500, 800, 500, 650], 510, [760, 1920, 3080, 4165]),
    ],
)
def test_even_spacing_examples(length, widths, gap, centres):
    """Notes §1.3: equal gaps, both ends included; the second row is in inches."""
    assert equal_gaps(widths, length_mm=length) == (gap,) * (len(widths) + 1)
    edges = place_evenly(widths, length_mm=length)
    assert [edge + width / 2 for edge, width in zip(edges, widths, strict=True)] == centres


def test_gaps_and_widths_add_up_to_the_wall():
    """Notes §1.3: after rounding to millimetres the sum must still be exact."""
    widths = [333, 334, 335]
    gaps = equal_gaps(widths, length_mm=2001)
    assert sum(gaps) + sum(widths) == 2001
    assert max(gaps) - min(gaps) <= 1
