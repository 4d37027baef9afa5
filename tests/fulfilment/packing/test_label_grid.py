"""Sheets of labels: places, what fits a page, the parts of a label."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fulfilment.packing import PRESETS, LabelGrid
from fulfilment.packing.label_grid import GAP_MM, KEY_MM, LEAST_TENTHS, PAGES_TENTHS, face_of


@st.composite
def grids(draw):
    """Any sheet that can be typed."""
    tenths = st.integers(0, 4000)
    return LabelGrid(
        draw(st.sampled_from(sorted(PAGES_TENTHS))), draw(st.integers(1, 12)), draw(st.integers(1, 40)),
        draw(tenths), draw(tenths), draw(tenths), draw(tenths), draw(st.integers(0, 200)), draw(st.integers(0, 200)),
    )  # fmt: skip


@pytest.mark.parametrize("grid", PRESETS, ids=lambda grid: grid.words)
def test_sheets_of_the_list_fit_their_page_and_lie_in_its_middle(grid):
    assert grid.fault() == ""
    width, height = PAGES_TENTHS[grid.page]
    left, top = grid.place_mm(1)
    right, bottom = grid.place_mm(grid.places)
    assert abs(left - (width - 10 * right - grid.width_tenths) / 10) <= 0.3
    assert abs(top - (height - 10 * bottom - grid.height_tenths) / 10) <= 0.3


@given(grids())
def test_every_place_lies_on_the_page_and_apart_from_the_others_or_there_is_a_sentence(grid):
    if grid.fault():
        assert grid.fault().endswith(".")
        return
    width, height = (side / 10 for side in PAGES_TENTHS[grid.page])
    places = [grid.place_mm(place) for place in range(1, grid.places + 1)]
    wide, high = grid.width_tenths / 10, grid.height_tenths / 10
    assert all(x + wide <= width + 1e-9 and y + high <= height + 1e-9 for x, y in places)
    for (x, y), (other_x, other_y) in itertools.pairwise(places):
        assert abs(x - other_x) >= wide - 1e-9 or abs(y - other_y) >= high - 1e-9


@given(grids())
def test_parts_of_a_label_are_apart_and_within_it(grid):
    if grid.fault():
        return
    face, high = face_of(grid), grid.height_tenths / 10
    assert face.pad_mm + face.sender_mm + GAP_MM <= face.address_top_mm + 1e-9
    assert face.address_height_mm > 9
    assert face.address_top_mm + face.address_height_mm + GAP_MM <= face.bars_top_mm + 1e-9
    assert face.bars_top_mm + face.bars_mm + KEY_MM <= high - face.pad_mm + 1e-9
    assert face.sender_width_mm > 30


def test_what_does_not_fit_is_said_with_both_measures():
    assert "are 212.9 mm wide; the page is 210 mm" in LabelGrid("A4", 2, 4, 1016, 677, 47, 131, 50).fault()
    assert "are 298.6 mm high; the page is 297 mm" in LabelGrid("A4", 2, 4, 991, 714, 47, 130).fault()
    assert "60 × 36 mm is the least" in LabelGrid("A4", 5, 13, 381, 212, 47, 107).fault()
    assert LabelGrid("A4", 1, 1, *LEAST_TENTHS, 0, 0).fault() == ""
