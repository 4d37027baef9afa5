"""
Source: US 2010 ADA Standards for Accessible Design, 307.2 (protruding objects) and 403.5.1 (clear width), as given by
    the US Access Board's guide, chapter 3.
Edition: 2010 Standards; notes on the trade §1.4, read 2026-11-25.
What is checked: an edge above 27 in (685 mm) and up to 80 in (2030 mm) may stand out 4 in (100 mm) and no more; a lower
    edge at 27 in or below, or above 80 in, any distance; a path keeps 36 in (915 mm).
Tolerance: none; each value is compared in the unit in which it was typed.
"""

import pytest

from campaign.measures.lengths import parse_length_mm
from campaign.planning.placing.hooks import access_rule

pytestmark = pytest.mark.outside


@pytest.mark.parametrize(
    ("unit", "foot", "depth", "is_broken"),
    [
        pytest.param("mm", "1150 mm", "100 mm", False, id="307.2: 100 mm stands out as far as allowed"),
        pytest.param("mm", "1150 mm", "101 mm", True, id="307.2: 101 mm is too far"),
        pytest.param("mm", "1200 mm", "90 mm", False, id="307.2: shelf 90 mm deep"),
        pytest.param("cm", "68.5 cm", "400 mm", False, id="307.2: case with its lower edge at 685 mm"),
        pytest.param("mm", "686 mm", "101 mm", True, id="307.2: lower edge just above 685 mm"),
        pytest.param("mm", "2030 mm", "101 mm", True, id="307.2: lower edge at 2030 mm"),
        pytest.param("mm", "2031 mm", "500 mm", False, id="307.2: lower edge above 2030 mm"),
        pytest.param("in", "45 in", "4 in", False, id="307.2 in inches: 4 in stands out as far as allowed"),
        pytest.param("in", "45 in", "4 1/8 in", True, id="307.2 in inches: 4 1/8 in is too far"),
        pytest.param("in", "27 in", "12 in", False, id="307.2 in inches: lower edge at 27 in"),
        pytest.param("in", "80 in", "5 in", True, id="307.2 in inches: lower edge at 80 in"),
    ],
)
def test_protruding_edges_of_the_standard(unit, foot, depth, is_broken):
    """307.2 Protrusion limits."""
    rule = access_rule(unit)
    assert rule.is_broken(foot_mm=parse_length_mm(foot), depth_mm=parse_length_mm(depth)) is is_broken


@pytest.mark.parametrize(
    ("unit", "width", "is_clear"),
    [("mm", "914 mm", False), ("mm", "915 mm", True), ("in", "36 in", True), ("in", "35 7/8 in", False)],
)
def test_clear_width_of_a_path(unit, width, is_clear):
    """403.5.1 Clear width."""
    assert access_rule(unit).is_clear(width_mm=parse_length_mm(width)) is is_clear
