"""
Source: ISO 216 (A and B series) and ISO 269 (C series), table of the encyclopaedia article on ISO 216.
Edition: ISO 216:2007, ISO 269:1985; read 2026-11-25 in the project's notes on the trade (§3.1); figures only.
What is checked: sheet sizes by name, in mm, upright.
Tolerance: none here; the standard's own is ±1.5 mm to 150 mm, ±2 mm to 600 mm, ±3 mm above.
"""

import pytest

from campaign.measures.lengths import parse_size_mm

pytestmark = pytest.mark.outside

A = ((841, 1189), (594, 841), (420, 594), (297, 420), (210, 297), (148, 210), (105, 148), (74, 105))
B = ((1000, 1414), (707, 1000), (500, 707), (353, 500), (250, 353), (176, 250), (125, 176), (88, 125))
C = ((917, 1297), (648, 917), (458, 648), (324, 458), (229, 324), (162, 229), (114, 162), (81, 114))


@pytest.mark.parametrize(("series", "sizes"), [("A", A), ("B", B), ("C", C)])
def test_sheets_have_the_sizes_of_the_table(series, sizes):
    """ISO 216 and ISO 269, sizes 0 to 7."""
    assert tuple(parse_size_mm(f"{series}{number}") for number in range(8)) == sizes


def test_landscape_turns_the_sheet():
    """ISO 216: the same sheet on its long side."""
    assert parse_size_mm("A2 landscape") == (594, 420)


def test_size_beyond_a3_of_the_paper_makers():
    """A3+ is 329 × 483 mm (13 × 19 in); from memory, paper makers' lists, no standard."""
    assert parse_size_mm("A3+") == (329, 483)
