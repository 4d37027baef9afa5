"""Stretches of a wall, rows and gaps."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.planning import BlockedArea, WallSpec
from campaign.planning.errors import InvalidRequest, WallTooNarrow
from campaign.planning.placing.wall import (
    equal_gaps,
    hook_height_mm,
    place_evenly,
    stretches,
    stretches_for,
)
from tests.plain_shows import option, show, wall
from tests.strategies import walls


def _ends(pieces):
    return [(piece.x_mm, piece.x_mm + piece.length_mm, piece.max_height_mm) for piece in pieces]


def test_free_wall_is_one_stretch_between_its_margins():
    assert _ends(stretches(wall(width_mm=5000, end_margin_mm=150))) == [(150, 4850, 2900)]


def test_wall_shorter_than_its_margins_has_no_stretch():
    assert stretches(wall(width_mm=200, end_margin_mm=100)) == ()


def test_door_cuts_the_wall_in_two():
    door = BlockedArea("door", 2000, 0, 900, 2050)
    assert _ends(stretches(wall(width_mm=5000, blocked=[door]), band_mm=900)) == [(0, 2000, 900), (2900, 5000, 900)]


def test_low_radiator_does_not_cut_when_nothing_reaches_it():
    radiator = BlockedArea("radiator", 1000, 100, 1500, 700)
    assert _ends(stretches(wall(width_mm=5000, blocked=[radiator]), band_mm=1200)) == [(0, 5000, 1200)]


def test_above_a_radiator_hang_only_works_that_clear_it():
    radiator = BlockedArea("radiator", 1000, 100, 1500, 900)
    found = _ends(stretches(wall(width_mm=5000, blocked=[radiator]), band_mm=1200))
    assert found == [(0, 1000, 1200), (1000, 2500, 900), (2500, 5000, 1200)]


def test_neighbouring_areas_of_one_height_share_a_stretch():
    shelves = [BlockedArea("shelf", x, 0, 500, 1000) for x in (1000, 1500)]
    found = _ends(stretches(wall(width_mm=3000, blocked=shelves), band_mm=1200))
    assert found == [(0, 1000, 1200), (1000, 2000, 900), (2000, 3000, 1200)]


def test_area_over_the_margin_takes_only_what_is_left():
    door = BlockedArea("door", 0, 0, 500, 2050)
    assert _ends(stretches(wall(width_mm=3000, end_margin_mm=200, blocked=[door]), band_mm=600)) == [(500, 2800, 600)]


def test_band_of_a_request_is_its_tallest_option():
    vent = BlockedArea("vent", 1000, 2000, 300, 300)
    request = show({"a": [option(height_mm=1000)]}, walls=(wall(width_mm=3000, blocked=[vent]),))
    assert len(stretches_for(request)) == 1
    request = show({"a": [option(height_mm=1200)]}, walls=(wall(width_mm=3000, blocked=[vent]),))
    assert len(stretches_for(request)) == 3


def _two_rows(**changes):
    return WallSpec("north", "North", 4000, 3000, 1450, 0, rows=2, row_height_mm=400, row_gap_mm=100, **changes)


def test_two_rows_are_cut_each_around_its_own_line():
    radiator = BlockedArea("radiator", 1000, 0, 1000, 1100)
    pieces = stretches(_two_rows(blocked=(radiator,)), min_gap_mm=60)
    assert [(piece.row, piece.centre_mm, piece.gap_mm) for piece in pieces] == [
        (0, 1700, 60),
        (1, 1200, 60),
        (1, 1200, 60),
        (1, 1200, 60),
    ]
    assert _ends(pieces) == [(0, 4000, 400), (0, 1000, 400), (1000, 2000, 200), (2000, 4000, 400)]


def test_own_gap_of_a_wall_is_told_to_its_stretches():
    assert {piece.gap_mm for piece in stretches(_two_rows(min_gap_mm=25), min_gap_mm=60)} == {25}


def test_row_that_reaches_over_the_ceiling_is_cut_there():
    low = WallSpec("low", "Low", 3000, 2000, 1450, 0, rows=2, row_height_mm=700, row_gap_mm=0)
    assert [piece.max_height_mm for piece in stretches(low)] == [400, 700]


def test_centre_line_off_the_wall_is_refused():
    with pytest.raises(InvalidRequest):
        wall(height_mm=1400, centre_mm=1450)


@given(st.data())
def test_stretches_never_overlap_and_keep_clear_of_what_they_name(data):
    one = data.draw(walls(index=0))
    band = data.draw(st.integers(100, 1500))
    pieces = stretches(one, band_mm=band)
    for left, right in itertools.pairwise(pieces):
        assert left.x_mm + left.length_mm <= right.x_mm
    for piece in pieces:
        half = piece.max_height_mm / 2
        assert piece.length_mm > 0
        for area in one.blocked:
            beside = area.x_mm < piece.x_mm + piece.length_mm and piece.x_mm < area.x_mm + area.width_mm
            level = area.y_mm < one.centre_mm + half and one.centre_mm - half < area.y_mm + area.height_mm
            assert not (beside and level)


@given(st.lists(st.integers(1, 900), max_size=12), st.integers(0, 20_000))
def test_widths_and_gaps_fill_the_length_exactly(widths, length):
    if sum(widths) > length:
        with pytest.raises(WallTooNarrow) as refusal:
            equal_gaps(widths, length_mm=length)
        assert (refusal.value.needed_mm, refusal.value.available_mm) == (sum(widths), length)
        return
    gaps = equal_gaps(widths, length_mm=length)
    assert sum(gaps) + sum(widths) == length
    assert max(gaps) - min(gaps) <= 1
    edges = place_evenly(widths, length_mm=length)
    at = 0
    for edge, width, gap in zip(edges, widths, gaps, strict=False):
        assert edge == at + gap
        at = edge + width


def test_odd_heights_hang_half_a_millimetre_high():
    assert hook_height_mm(centre_mm=1450, height_mm=601, drop_mm=70) == 1681
