"""Prints on the paper there is: each once, cut apart for certain, what is there first, no more bought than is used."""

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from fulfilment.nesting import Print, cut_apart
from fulfilment.nesting.laying import Paper, lay_on_paper, part_lengths

SIDES = st.integers(60, 500)


@st.composite
def prints(draw, *, most=12):
    sizes = draw(st.lists(st.tuples(SIDES, SIDES, st.booleans()), min_size=1, max_size=most))
    return [Print(f"p{at:02}", width, height, can_turn) for at, (width, height, can_turn) in enumerate(sizes)]


@st.composite
def rolls(draw):
    pack = draw(st.integers(700, 3_000))
    return Paper(
        width_mm=draw(st.integers(300, 640)), margin_mm=draw(st.integers(0, 8)), lead_mm=draw(st.integers(0, 30)),
        tail_mm=draw(st.integers(0, 30)), gap_mm=draw(st.integers(0, 9)), there_mm=draw(st.integers(0, 1_500)),
        pack_mm=pack, can_turn=draw(st.booleans()),
    )  # fmt: skip


@st.composite
def sheets(draw):
    return Paper(
        width_mm=draw(st.integers(300, 640)), height_mm=draw(st.integers(300, 640)), margin_mm=draw(st.integers(0, 8)),
        gap_mm=draw(st.integers(0, 9)), there_sheets=draw(st.integers(0, 4)), can_turn=draw(st.booleans()),
    )  # fmt: skip


def check(laid, items, *, paper, spares):
    """What holds of every way to lay prints, whoever laid them."""
    known = {item.code: item for item in items}
    codes = [spot.code for part in laid.parts for spot in part.spots]
    printed = [code for code in codes if code in known]
    assert sorted([*printed, *laid.too_large]) == sorted(known), "every print once"
    assert len(codes) - len(printed) == min(spares, len(printed)), "and the spares"
    assert [part.number for part in laid.parts] == list(range(1, len(laid.parts) + 1))
    for part in laid.parts:
        cut_apart(part.spots, width_mm=part.width_mm, height_mm=part.height_mm)
        assert part.is_kept_back == all(spot.code.startswith("+") for spot in part.spots)
        for spot in part.spots:
            assert paper.margin_mm <= spot.x_mm and spot.right_mm <= paper.width_mm - paper.margin_mm
            assert spot.y_mm >= 0 and spot.top_mm <= part.height_mm
            if spot.code in known:
                item = known[spot.code]
                own = (item.width_mm, item.height_mm)
                assert (spot.width_mm, spot.height_mm) == (own[::-1] if spot.is_turned else own)
                assert not spot.is_turned or (item.can_turn and paper.can_turn)
        for a, b in combinations(part.spots, 2):
            gap = paper.gap_mm
            beside = a.right_mm + gap <= b.x_mm or b.right_mm + gap <= a.x_mm
            assert beside or a.top_mm + gap <= b.y_mm or b.top_mm + gap <= a.y_mm


@settings(max_examples=120, deadline=None)
@given(items=prints(), paper=rolls(), spares=st.integers(0, 3))
def test_lengths_of_rolls_hold_every_print_once_within_each_roll(items, paper, spares):
    laid = lay_on_paper(items, paper=paper, spares=min(spares, len(items)), rounds=20)
    check(laid, items, paper=paper, spares=spares)
    for holder in {part.holder for part in laid.parts}:
        here = [part for part in laid.parts if part.holder == holder]
        at = 0
        for part in here:
            assert part.from_mm == at, "one length begins where the one before was cut off"
            at += part.height_mm
        assert at <= (paper.there_mm if here[0].is_owned else paper.pack_mm)
        assert here[0].spots[0].y_mm >= paper.lead_mm
        assert here[-1].height_mm - max(spot.top_mm for spot in here[-1].spots) >= paper.tail_mm
    owned = {part.holder for part in laid.parts if part.is_owned}
    assert owned <= {1}
    assert laid.bought == laid.holders - len(owned)


@settings(max_examples=100, deadline=None)
@given(items=prints(), paper=sheets(), spares=st.integers(0, 3))
def test_sheets_hold_every_print_once_and_those_there_come_first(items, paper, spares):
    laid = lay_on_paper(items, paper=paper, spares=min(spares, len(items)), rounds=20)
    check(laid, items, paper=paper, spares=spares)
    for part in laid.parts:
        assert all(
            paper.margin_mm <= spot.y_mm and spot.top_mm <= paper.height_mm - paper.margin_mm for spot in part.spots
        )
    assert laid.bought == max(0, len(laid.parts) - paper.there_sheets)
    assert [part.is_owned for part in laid.parts] == sorted((part.is_owned for part in laid.parts), reverse=True)


@settings(max_examples=30, deadline=None)
@given(items=prints(), paper=st.one_of(rolls(), sheets()), chance=st.randoms(use_true_random=False))
def test_the_order_of_the_prints_changes_nothing(items, paper, chance):
    other = list(items)
    chance.shuffle(other)
    assert lay_on_paper(other, paper=paper, rounds=20) == lay_on_paper(items, paper=paper, rounds=20)


@settings(max_examples=60, deadline=None)
@given(items=prints(), paper=sheets(), chance=st.randoms(use_true_random=False))
def test_what_is_needed_first_lies_on_the_sheets_with_low_numbers(items, paper, chance):
    ranks = {item.code: chance.randrange(3) for item in items}
    laid = lay_on_paper(items, paper=paper, needed_first=ranks, rounds=20)
    needs = [min(ranks[spot.code] for spot in part.spots) for part in laid.parts]
    assert needs == sorted(needs)


def test_a_rest_that_is_too_short_for_anything_is_left_alone():
    laid = lay_on_paper([Print("a", 300, 400, can_turn=False)], paper=Paper(610, there_mm=200, pack_mm=1_000))
    assert [(part.is_owned, part.holder) for part in laid.parts] == [(False, 1)]


def test_another_order_is_taken_where_it_saves_a_roll():
    items = [Print(f"p{at}", 600, high, can_turn=False) for at, high in enumerate((400, 300, 600, 700))]
    ranks = {"p0": 0, "p1": 1, "p2": 2, "p3": 3}
    laid = lay_on_paper(items, paper=Paper(600, pack_mm=1_000), needed_first=ranks)
    assert laid.bought == 2


def test_a_print_that_fits_in_one_way_only_lies_that_way():
    laid = lay_on_paper([Print("a", 500, 900)], paper=Paper(950, pack_mm=600))
    assert [(spot.width_mm, spot.height_mm, spot.is_turned) for spot in laid.parts[0].spots] == [(900, 500, True)]


def test_what_is_larger_than_the_paper_is_named_and_the_rest_is_laid():
    laid = lay_on_paper([Print("a", 700, 700), Print("b", 100, 100)], paper=Paper(610, pack_mm=5_000), spares=1)
    assert laid.too_large == ("a",)
    assert [[spot.code for spot in part.spots] for part in laid.parts] == [["b"], ["+1"]]


@settings(max_examples=40, deadline=None)
@given(items=prints(), spares=st.integers(1, 6))
def test_paper_kept_back_is_no_smaller_than_the_prints_are_on_average(items, spares):
    laid = lay_on_paper(items, paper=Paper(640, pack_mm=5_000), spares=min(spares, len(items)), rounds=0)
    kept = [spot.width_mm * spot.height_mm for part in laid.parts if part.is_kept_back for spot in part.spots]
    areas = sorted(item.width_mm * item.height_mm for item in items)
    assert max(kept) == areas[-1]
    assert sum(kept) * len(areas) >= sum(areas) * len(kept)


def test_nothing_to_lay_is_no_part():
    assert lay_on_paper([], paper=Paper(610, pack_mm=5_000)).parts == ()
    assert part_lengths([]) == []
