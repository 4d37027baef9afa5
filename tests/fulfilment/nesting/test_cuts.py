"""Cutting apart: in an order that works, through no print, and a pinwheel is refused."""

import pytest

from fulfilment.nesting import NoStraightCut, Spot, cut_apart


def spot(code, x, y, width, height):
    return Spot(code, x, y, width, height, is_turned=False)


def carry_out(cuts, *, width, height):
    """The parts of paper that come of it; fails where a cut does not run from edge to edge of a part."""
    parts = {(0, 0, width, height)}
    for cut in cuts:
        ends = (cut.start_mm, cut.end_mm)
        [part] = [
            (x, y, right, top)
            for x, y, right, top in parts
            if (
                ends == (x, right) and y < cut.at_mm < top
                if cut.is_across
                else ends == (y, top) and x < cut.at_mm < right
            )
        ]
        x, y, right, top = part
        parts.remove(part)
        if cut.is_across:
            parts |= {(x, y, right, cut.at_mm), (x, cut.at_mm, right, top)}
        else:
            parts |= {(x, y, cut.at_mm, top), (cut.at_mm, y, right, top)}
    return parts


def test_the_cuts_free_every_print_exactly():
    spots = [spot("a", 0, 0, 300, 200), spot("b", 300, 0, 200, 150), spot("c", 20, 220, 100, 100)]
    cuts = cut_apart(spots, width_mm=600, height_mm=400)
    parts = carry_out(cuts, width=600, height=400)
    assert {(s.x_mm, s.y_mm, s.right_mm, s.top_mm) for s in spots} <= parts
    assert [cut.step for cut in cuts] == list(range(1, len(cuts) + 1))


def test_parting_comes_before_trimming_a_single_print():
    first, *_ = cut_apart([spot("a", 10, 10, 100, 100), spot("b", 12, 150, 100, 100)], width_mm=200, height_mm=300)
    assert (first.is_across, first.at_mm) in {(True, 110), (True, 150)}


def test_a_cut_that_trims_several_prints_is_made_once():
    prints = [spot(f"p{x}{y}", 10 + x * 104, 10 + y * 104, 100, 100) for x in range(2) for y in range(3)]
    cuts = cut_apart(prints, width_mm=300, height_mm=400)
    around = {(True, 10), (True, 318), (False, 10), (False, 214)}
    assert {(cut.is_across, cut.at_mm) for cut in cuts[:4]} == around
    assert len(cuts) == 4 + 2 * 2 + 3 * 2, "the two gaps across, and in each of the three rows the one along"


def test_what_is_in_hand_is_measured_from_its_own_edge():
    cuts = cut_apart([spot("a", 0, 0, 100, 200), spot("b", 130, 0, 70, 200)], width_mm=200, height_mm=200)
    assert [(cut.at_mm, cut.in_hand_mm) for cut in cuts] == [(100, 100), (130, 30)]


def test_a_print_as_large_as_the_paper_needs_no_cut():
    assert cut_apart([spot("a", 0, 0, 300, 200)], width_mm=300, height_mm=200) == ()


def test_a_pinwheel_cannot_be_cut():
    pinwheel = [
        spot("a", 0, 0, 200, 100), spot("b", 200, 0, 100, 200), spot("c", 100, 200, 200, 100),
        spot("d", 0, 100, 100, 200), spot("e", 100, 100, 100, 100),
    ]  # fmt: skip
    with pytest.raises(NoStraightCut) as refused:
        cut_apart(pinwheel, width_mm=300, height_mm=300)
    assert refused.value.codes == ("a", "b", "c", "d", "e")


def test_a_print_off_the_paper_is_refused():
    with pytest.raises(ValueError, match="off the paper"):
        cut_apart([spot("a", 0, 0, 301, 200)], width_mm=300, height_mm=200)


def test_prints_that_overlap_cannot_be_parted():
    with pytest.raises(NoStraightCut):
        cut_apart([spot("a", 0, 0, 200, 200), spot("b", 100, 100, 200, 200)], width_mm=300, height_mm=300)
