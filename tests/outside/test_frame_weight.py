"""
Source: worked weight of a framed print, outer 500 x 700 mm; glass 2.5 kg/m2 per mm after EN 572-1, acrylic 1.19 kg/m2
    per mm, pine 500 kg/m3 (from memory – check ISO 7823-1 and the Wood Handbook), board masses common practice.
Edition: notes on the trade §2, read 2026-11-25.
What is checked: the mass of a recipe, line by line and as a whole, for glass and for acrylic; sheets of paper; what
    its hooks must carry.
Tolerance: 1 g, the house rounds the whole sum once to a gram.
"""

import pytest

from campaign.planning import Basis, Placement, PriceItem, RecipeLine, WallSpec
from campaign.planning.costing.recipe_lines import Extent, mass_g
from campaign.planning.placing.hooks import Hanging, HookRules, Topic, access_rule, find_cautions

pytestmark = pytest.mark.outside

EXTENT = Extent(print_width_mm=329, print_height_mm=483, width_mm=500, height_mm=700)


def _line(unit, mass_g_per_unit, basis, quantity_milli=1000):
    item = PriceItem(code="m", name="Material", unit=unit, price_minor=0, mass_g_per_unit=mass_g_per_unit)
    return RecipeLine(item=item, basis=basis, quantity_milli=quantity_milli)


MOULDING = _line("m", 300, Basis.OUTER_PERIMETER)
# The mat is a ring, outer area less the opening of 300 x 450 mm: 0.215 m2 by the piece.
MAT = _line("m2", 1000, Basis.PIECE, 215)
PRINT = _line("m2", 310, Basis.PRINT_AREA)
BACK = _line("m2", 600, Basis.OUTER_AREA)
HARDWARE = _line("piece", 50, Basis.PIECE)
REST = (MOULDING, MAT, PRINT, BACK, HARDWARE)


@pytest.mark.parametrize(
    ("line", "grams"),
    [
        (_line("m2", 5000, Basis.OUTER_AREA), 1750),
        (MOULDING, 720),
        (MAT, 215),
        (PRINT, 49),
        (BACK, 210),
        (HARDWARE, 50),
    ],
)
def test_each_part_weighs_what_the_worked_example_says(line, grams):
    """Notes §2: 1.7500, 0.7200, 0.2150, 0.0493, 0.2100 and 0.0500 kg."""
    assert abs(mass_g([line], extent=EXTENT) - grams) <= 1


@pytest.mark.parametrize(("glazing_g_per_m2", "grams"), [(5000, 2994), (3570, 2494)])
def test_framed_print_weighs_what_the_worked_example_says(glazing_g_per_m2, grams):
    """Notes §2: 2.994 kg with 2 mm glass, 2.494 kg with 3 mm acrylic."""
    glazing = _line("m2", glazing_g_per_m2, Basis.OUTER_AREA)
    assert abs(mass_g([glazing, *REST], extent=EXTENT) - grams) <= 1


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "grammage", "centigrams"),
    [(210, 297, 80, 499), (210, 297, 310, 1933), (297, 420, 310, 3867), (420, 594, 310, 7734), (329, 483, 310, 4926)],
)
def test_sheet_of_paper_weighs_its_grammage_times_its_area(width_mm, height_mm, grammage, centigrams):
    """Notes §2 (ISO 536 grammage): A4 80 g/m2 4.99 g; at 310 g/m2 A4 19.33, A3 38.67, A2 77.34, A3+ 49.26 g."""
    extent = Extent(print_width_mm=width_mm, print_height_mm=height_mm, width_mm=width_mm, height_mm=height_mm)
    assert abs(100 * mass_g([_line("m2", grammage, Basis.PRINT_AREA)], extent=extent) - centigrams) <= 50


@pytest.mark.parametrize(("rating_g", "is_weak"), [(5_987, True), (5_988, False)])
def test_pair_of_hooks_carries_four_times_the_frame(rating_g, is_weak):
    """Notes §2: with safety factor 4 the pair of hooks for 2.994 kg must carry 11.98 kg (4 x 2.994 = 11.976)."""
    hung = Hanging("Frame", Placement("a", "north", 1000, 1100, 500, 700), mass_g=2_994)
    rules = HookRules(two_from_mm=400, two_from_g=4_500, rating_g=rating_g, margin=4)
    wall = WallSpec("north", "North", 4000, 2700, 1450, 0)
    topics = [caution.topic for caution in find_cautions([hung], wall=wall, rules=rules, access=access_rule("mm"))]
    assert (Topic.HOOKS in topics) is is_weak
