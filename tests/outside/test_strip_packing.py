"""
Source: E. Hopper, B. Turton, "An empirical investigation of meta-heuristic and heuristic algorithms for a 2D packing
    problem", Eur. J. Oper. Res. 128 (2001), class C1: strip of width 20, least height 20 (items as kept with public
    data sets, set HT2001a; the placements were found and checked cell by cell for the trade notes).
    N. Christofides, C. Whitlock, "An algorithm for two-dimensional cutting problems", Oper. Res. 25 (1977), as kept
    in OR-Library, cgcut1: sheet 15 × 10, best value 244. Heights of the shelf rules computed for the trade notes.
Edition: trade notes §8.5, §8.6.
What is checked: the nest reaches the least height where straight cuts can; the published optimal placements are told
    apart by whether they can be cut; the best mix of cgcut1 fits its one sheet; never below a bound, never above the
    shelf rules.
Tolerance: none where "reaches" is said; C1_2 and the turned pieces lie between bound and shelf rule.
"""

import re

import pytest

from fulfilment.nesting import NoStraightCut, Print, Roll, Sheets, Spot, cut_apart, nest_on_roll, nest_on_sheets

pytestmark = pytest.mark.outside

C1_1 = """7x12@0,0 8x6@7,0 3x12@15,0 2x12@18,0 5x7@7,6 3x7@12,6 3x6@0,12 4x4@3,12
2x6@15,12 3x4@17,12 5x5@7,13 3x5@12,13 4x2@3,16 3x2@17,16 11x2@0,18 9x2@11,18"""
C1_2 = """15x4@0,0 2x8@15,0 3x13@17,0 10x6@0,4 5x4@10,4 7x2@10,8 3x9@0,10 5x5@3,10 9x4@8,10
3x5@17,13 9x3@8,14 1x4@3,15 4x5@4,15 5x3@8,17 4x1@13,17 7x2@13,18 4x1@0,19"""
OPTIMUM, FIRST_FIT = 20, {"C1_1": 25, "C1_2": 29}  # first fit, by falling height
# cgcut1: length × width, how many at most, value; the best mix.
PIECES = [(8, 4, 2, 66), (3, 7, 1, 35), (8, 2, 3, 24), (3, 4, 5, 17), (3, 3, 2, 11), (3, 2, 2, 8), (2, 1, 1, 2)]
BEST_MIX, BEST_VALUE, LEAST_STRIP = (2, 1, 1, 2, 1, 1, 0), 244, 23


def read(text):
    return [tuple(map(int, found)) for found in re.findall(r"(\d+)x(\d+)@(\d+),(\d+)", text)]


def prints_of(text, *, can_turn=False):
    return [Print(f"{at:02}", width, height, can_turn) for at, (width, height, _, _) in enumerate(read(text))]


def placement_of(text):
    return [Spot(f"{at:02}", x, y, width, height, False) for at, (width, height, x, y) in enumerate(read(text))]


def test_the_published_height_is_reached_where_straight_cuts_reach_it():
    nest = nest_on_roll(prints_of(C1_1), roll=Roll(20))
    assert nest.length_mm == nest.bound_mm == OPTIMUM


def test_the_published_placement_that_can_be_cut_is_cut():
    assert len(cut_apart(placement_of(C1_1), width_mm=20, height_mm=OPTIMUM)) == 15  # sixteen parts, nothing trimmed


def test_the_published_placement_that_cannot_be_cut_is_refused():
    with pytest.raises(NoStraightCut):
        cut_apart(placement_of(C1_2), width_mm=20, height_mm=OPTIMUM)


@pytest.mark.parametrize(("name", "text"), [("C1_1", C1_1), ("C1_2", C1_2)])
@pytest.mark.parametrize("can_turn", [False, True])
def test_every_nest_lies_between_the_optimum_and_the_shelf_rule(name, text, can_turn):
    nest = nest_on_roll(prints_of(text, can_turn=can_turn), roll=Roll(20))
    assert nest.bound_mm == OPTIMUM <= nest.length_mm <= FIRST_FIT[name] - 4


def test_the_best_mix_of_pieces_fits_its_one_sheet():
    mix = [
        Print(f"{at}-{n}", length, width, can_turn=False)
        for at, ((length, width, most, _), count) in enumerate(zip(PIECES, BEST_MIX, strict=True))
        for n in range(min(count, most))
    ]
    assert sum(piece[3] * count for piece, count in zip(PIECES, BEST_MIX, strict=True)) == BEST_VALUE
    [sheet] = nest_on_sheets(mix, sheets=[Sheets("cgcut1", 15, 10, 1)])
    assert len(sheet.spots) == len(mix)
    cut_apart(sheet.spots, width_mm=15, height_mm=10)


def test_all_pieces_as_a_strip_reach_the_bound_of_their_area():
    pieces = [
        Print(f"{at}-{n}", width, length) for at, (length, width, most, _) in enumerate(PIECES) for n in range(most)
    ]
    nest = nest_on_roll(pieces, roll=Roll(10))
    assert nest.length_mm == nest.bound_mm == LEAST_STRIP
