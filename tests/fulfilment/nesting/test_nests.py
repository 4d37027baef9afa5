"""Whatever lies on rolls and sheets: all of it, nothing over another, within the paper, and it can be cut apart."""

import random
from itertools import combinations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from fulfilment.nesting import (
    DoesNotFit,
    Print,
    Roll,
    Sheets,
    cut_apart,
    least_length_mm,
    nest_on_roll,
    nest_on_sheets,
)

SIDES = st.integers(40, 600)


@st.composite
def prints(draw, *, most=14):
    sizes = draw(st.lists(st.tuples(SIDES, SIDES, st.booleans()), min_size=1, max_size=most))
    return [Print(f"p{at:02}", width, height, can_turn) for at, (width, height, can_turn) in enumerate(sizes)]


def check(spots, prints, *, width, height, margin, gap):
    """What every nest must be, whoever made it."""
    known = {item.code: item for item in prints}
    for spot in spots:
        item = known[spot.code]
        lies = (item.height_mm, item.width_mm) if spot.is_turned else (item.width_mm, item.height_mm)
        assert (spot.width_mm, spot.height_mm) == lies
        assert item.can_turn or not spot.is_turned
        assert spot.x_mm >= margin and spot.right_mm <= width - margin
        assert spot.y_mm >= 0 and spot.top_mm <= height
    for a, b in combinations(spots, 2):
        beside = a.right_mm + gap <= b.x_mm or b.right_mm + gap <= a.x_mm
        assert beside or a.top_mm + gap <= b.y_mm or b.top_mm + gap <= a.y_mm, (a, b)


@settings(max_examples=150, deadline=None)
@given(items=prints(), side=st.integers(0, 10), gap=st.integers(0, 12), ends=st.integers(0, 30))
@example(items=[Print("p00", 590, 600), Print("p01", 600, 590, can_turn=False)], side=0, gap=0, ends=0)
def test_a_roll_holds_every_print_once_and_can_be_cut_apart(items, side, gap, ends):
    roll = Roll(640, side_mm=side, lead_mm=ends, tail_mm=ends, gap_mm=gap)
    nest = nest_on_roll(items, roll=roll, rounds=60)
    assert sorted(spot.code for spot in nest.spots) == [item.code for item in items]
    check(nest.spots, items, width=640, height=nest.length_mm, margin=side, gap=gap)
    assert max(spot.top_mm for spot in nest.spots) + ends <= nest.length_mm
    assert nest.bound_mm <= nest.length_mm
    cut_apart(nest.spots, width_mm=640, height_mm=nest.length_mm)


@settings(max_examples=100, deadline=None)
@given(items=prints(), counts=st.tuples(st.integers(0, 3), st.integers(0, 3)), gap=st.integers(0, 8))
def test_sheets_hold_every_print_once_and_can_be_cut_apart(items, counts, gap):
    kinds = [
        Sheets("large", 700, 900, counts[0], margin_mm=5, gap_mm=gap),
        Sheets("small", 620, 640, counts[1], margin_mm=5, gap_mm=gap),
    ]
    nests = nest_on_sheets(items, sheets=kinds, rounds=40)
    size = {kind.code: (kind.width_mm, kind.height_mm) for kind in kinds}
    assert sorted(spot.code for nest in nests for spot in nest.spots) == [item.code for item in items]
    for kind in kinds:
        owned = sum(nest.is_owned for nest in nests if nest.code == kind.code)
        assert owned <= kind.count
        assert owned == kind.count or all(nest.is_owned for nest in nests if nest.code == kind.code)
    for nest in nests:
        width, height = size[nest.code]
        check(nest.spots, items, width=width, height=height - 5, margin=5, gap=gap)
        assert all(spot.y_mm >= 5 for spot in nest.spots)
        cut_apart(nest.spots, width_mm=width, height_mm=height)


@settings(max_examples=60, deadline=None)
@given(items=prints(), chance=st.randoms(use_true_random=False))
def test_the_order_in_which_prints_come_changes_nothing(items, chance):
    other = list(items)
    chance.shuffle(other)
    assert nest_on_roll(other, roll=Roll(640), rounds=30) == nest_on_roll(items, roll=Roll(640), rounds=30)
    kinds = [Sheets("one", 650, 650, 2)]
    assert nest_on_sheets(other, sheets=kinds, rounds=30) == nest_on_sheets(items, sheets=kinds, rounds=30)


@settings(max_examples=40, deadline=None)
@given(items=prints())
def test_looking_longer_never_needs_more_paper(items):
    lengths = [nest_on_roll(items, roll=Roll(640), rounds=rounds).length_mm for rounds in (0, 20, 200)]
    assert lengths == sorted(lengths, reverse=True)


def test_what_is_wider_than_the_roll_is_named():
    with pytest.raises(DoesNotFit) as refused:
        nest_on_roll([Print("a", 700, 800), Print("b", 700, 300), Print("c", 700, 300, can_turn=False)], roll=Roll(610))
    assert refused.value.codes == ("c", "a")


def test_what_is_larger_than_every_sheet_is_named():
    with pytest.raises(DoesNotFit) as refused:
        nest_on_sheets([Print("a", 400, 290), Print("b", 420, 300)], sheets=[Sheets("A3", 420, 297, 9)])
    assert refused.value.codes == ("b",)


def test_nothing_to_print_needs_no_paper():
    assert nest_on_roll([], roll=Roll(610)).length_mm == 0
    assert nest_on_sheets([], sheets=[Sheets("A3", 420, 297, 1)]) == ()


def test_sheets_that_are_there_are_used_before_any_is_bought():
    four = [Print(f"p{n}", 297, 210) for n in range(4)]
    nests = nest_on_sheets(four, sheets=[Sheets("A3", 420, 297, 1), Sheets("A2", 420, 594, 1)])
    assert [(nest.code, nest.is_owned) for nest in nests] == [("A2", True)]
    nests = nest_on_sheets(four, sheets=[Sheets("A3", 420, 297, 2), Sheets("A2", 420, 594, 0)])
    assert [(nest.code, nest.is_owned) for nest in nests] == [("A3", True)] * 2


def test_a_small_print_takes_the_small_sheet():
    kinds = [Sheets("A2", 420, 594, 5), Sheets("A4", 210, 297, 5)]
    [nest] = nest_on_sheets([Print("p", 200, 280)], sheets=kinds)
    assert nest.code == "A4"


def test_what_is_needed_first_comes_out_first():
    items = [Print(f"p{n}", 600, 300 + n, can_turn=False) for n in range(6)]
    nest = nest_on_roll(items, roll=Roll(610), needed_first={"p4": 0, "p1": 1})
    assert [spot.code for spot in nest.spots][:2] == ["p4", "p1"]


def test_the_gap_lies_between_prints_and_not_at_the_edge():
    two = [Print("a", 300, 200), Print("b", 300, 200)]
    assert nest_on_roll(two, roll=Roll(604, gap_mm=4)).length_mm == 200
    assert nest_on_roll(two, roll=Roll(603, gap_mm=4)).length_mm > 200


def test_no_nest_is_shorter_than_the_bound_says():
    chance = random.Random(5)
    for _ in range(30):
        items = [Print(f"p{n}", chance.randint(60, 600), chance.randint(60, 600)) for n in range(8)]
        assert nest_on_roll(items, roll=Roll(610), rounds=500).length_mm >= least_length_mm(items, width_mm=610)


@pytest.mark.parametrize("size", [(0, 10), (10, 0), (-1, 10)])
def test_a_print_without_a_size_is_refused(size):
    with pytest.raises(ValueError, match="width and a height"):
        Print("p", *size)
