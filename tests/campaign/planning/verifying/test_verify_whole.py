"""The verifier knows the whole definition: a show written by hand is sound, every planted fault in it is named."""

from dataclasses import replace

import pytest

from campaign.planning import (
    BlockedArea,
    Charge,
    FinishTerms,
    Need,
    Pack,
    Pin,
    Placement,
    Plan,
    PlannedWork,
    PlanRequest,
    Purchase,
    Supply,
    WallSpec,
    WorkOptions,
    verify_plan,
)
from tests.plain_shows import option

UNIT = 1_000_000
GLASS = Supply(
    "glass",
    "Glass",
    "m2",
    shelf_micro=UNIT,
    packs=(Pack(2 * UNIT, 900), Pack(UNIT, 600), Pack(UNIT, 300, from_count=3)),
)
MOULDING = Supply("moulding", "Moulding", "m", shelf_micro=500_000, price_minor=420)
OLD_STOCK = Supply("board", "Board", "m2", shelf_micro=3 * UNIT)


def _option(code, *, finish, needs, width_mm=400, height_mm=400, cost_minor=100, days=2):
    made = option(work_code=code, finish=finish, width_mm=width_mm, height_mm=height_mm, cost_minor=cost_minor)
    needed = tuple(Need(supply, quantity) for supply, quantity in needs.items())
    return replace(made, needs=needed, lead_days=days, printer_seconds=100)


def _work(code, **changes):
    """A work in oak, which takes glass and moulding, or on board."""
    oak = _option(code, finish="oak", needs={"glass": 1_100_000, "moulding": 1_600_000})
    board = _option(code, finish="board", needs={"board": 800_000}, width_mm=380, height_mm=380, days=9)
    return replace(WorkOptions(code, f"Work {code}", (oak, board)), **changes)


REQUEST = PlanRequest(
    works=(
        _work("a", must_hang=True, pin=Pin("north", 1000, 1)),
        _work("b", series="sea"),
        _work("c", series="sea"),
        _work("d", pin=Pin("south")),
        _work("e"),
    ),
    walls=(
        WallSpec("north", "North", 4000, 3000, 1450, 100, rows=2, row_height_mm=500, row_gap_mm=100, min_gap_mm=60),
        WallSpec("south", "South", 3000, 2800, 1500, 0, (BlockedArea("door", 1500, 0, 900, 2050),)),
    ),
    show_cost_minor=50,
    min_gap_mm=80,
    printer_seconds=400,
    supplies=(GLASS, MOULDING, OLD_STOCK),
    finishes=(FinishTerms("oak", "Oak", setup_minor=700, least_minor=1000), FinishTerms("board", "Board", 0, 50)),
    lead_days=5,
    most_finishes=1,
    series_share_finish=True,
    apart=(("b", "c"), ("a", "c")),
    together=(("b", "c", "a"),),
)


def _hung(code, wall, x_mm, y_mm, row=0):
    place = Placement(code, wall, x_mm, y_mm, 400, 400, row)
    return PlannedWork(code, f"Work {code}", "s", "oak", 100, 10, 1000, place)


# Lines of the north wall: 1750 and 1150. Glass: 4.4 needed, 1 there, 3.4 lacking: two packs of 2 cost 1800, four of
# 1 at the lower price 1200. Moulding: 6.4 needed, 5.9 bought at 4.20 is 24.78. Oak: own costs 400 of at least 1000.
PLAN = Plan(
    money_minor=6000,
    cost_minor=50 + 400 + 1200 + 2478 + 700 + 600,
    worth=40,
    proved=True,
    bound_worth=40,
    works=(
        _hung("a", "north", 800, 950, 1),
        _hung("b", "north", 160, 1550),
        _hung("c", "north", 160, 950, 1),
        _hung("d", "south", 80, 1300),
    ),
    next_money_minor=None,
    next_adds=None,
    purchases=(
        Purchase("glass", 4_400_000, UNIT, (0, 0, 4), 4 * UNIT, 600_000, 1200),
        Purchase("moulding", 6_400_000, 500_000, (), 5_900_000, 0, 2478),
    ),
    charges=(Charge("oak", 700, 600),),
)
SOUND = replace(REQUEST, apart=(("b", "c"),))


def _bought(index=0, **changes):
    purchases = list(PLAN.purchases)
    purchases[index] = replace(purchases[index], **changes)
    return replace(PLAN, purchases=tuple(purchases))


def _moved(index, **changes):
    works = list(PLAN.works)
    works[index] = replace(works[index], placement=replace(works[index].placement, **changes))
    return replace(PLAN, works=tuple(works))


def _without(index):
    return replace(PLAN, works=tuple(work for place, work in enumerate(PLAN.works) if place != index))


def _on_board(index):
    """One work hung on board instead of in oak."""
    works = list(PLAN.works)
    place = replace(works[index].placement, width_mm=380, height_mm=380)
    works[index] = replace(works[index], finish_code="board", placement=place)
    return replace(PLAN, works=tuple(works))


def test_show_under_every_rule_is_sound():
    assert verify_plan(SOUND, PLAN) == ()


FAULTS = {
    "a supply bought twice": (replace(PLAN, purchases=(*PLAN.purchases, PLAN.purchases[0])), "in two purchases"),
    "a purchase left out": (replace(PLAN, purchases=PLAN.purchases[:1]), "does not say from where"),
    "an unknown supply": (_bought(supply_code="gold"), "gold, which is not a supply"),
    "a supply nobody takes": (
        replace(PLAN, purchases=(*PLAN.purchases, Purchase("board", 0, 0, (), 0, 3 * UNIT, 0))),
        "board and no work takes any",
    ),
    "needs miscounted": (_bought(needed_micro=4_300_000), "the works take 4400000"),
    "shelf left untouched": (_bought(from_shelf_micro=0), "0 from the shelf, where 1000000"),
    "part of a pack": (_bought(packs=(0, 0, 4), bought_micro=3_400_000), "its packs hold 4000000"),
    "too few packs": (_bought(packs=(0, 0, 3), bought_micro=3 * UNIT), "3000000 is bought and 3400000 is lacking"),
    "packs that are not on offer": (_bought(packs=(0, 4)), "not those on offer"),
    "less than no pack": (_bought(packs=(3, -2, 0)), "not those on offer"),
    "price of a step not reached": (_bought(packs=(1, 0, 2), cost_minor=1500), "not sold in these numbers"),
    "price step overlooked": (_bought(packs=(0, 4, 0), cost_minor=2400), "not sold in these numbers"),
    "dearer packs than needed": (_bought(packs=(2, 0, 0), cost_minor=1800), "for 1800, the cheapest way is 1200"),
    "packs at another price": (_bought(cost_minor=1100), "packs cost 1100, they cost 1200"),
    "left over miscounted": (_bought(left_micro=0), "0 is left, it is 600000"),
    "bought to measure, rounded down": (_bought(1, cost_minor=2477), "packs cost 2477, they cost 2478"),
    "bought to measure, too little": (_bought(1, bought_micro=5 * UNIT), "5000000 is bought, its packs hold 5900000"),
    "set-up left out": (replace(PLAN, charges=(Charge("oak", 0, 600),)), "oak costs 700 to set up"),
    "shortfall miscounted": (replace(PLAN, charges=(Charge("oak", 700, 1000),)), "and 600 more"),
    "charges left out": (replace(PLAN, charges=()), "the plan says nothing"),
    "charge of a finish not used": (
        replace(PLAN, charges=(*PLAN.charges, Charge("board", 0, 50))),
        "board costs 0 to set up",
    ),
    "a finish charged twice": (replace(PLAN, charges=PLAN.charges * 2), "one finish twice"),
    "cost without its purchases": (replace(PLAN, cost_minor=1750), "its parts cost 5428"),
    "money that does not reach": (replace(PLAN, money_minor=5427), "the money is 5427"),
    "must hang and does not": (_without(0), "a must hang"),
    "series in two finishes": (_on_board(2), "The series sea hangs in more than one finish: board, oak"),
    "too many finishes": (_on_board(3), "2 finishes and 1 are allowed"),
    "finish that takes too long": (_on_board(3), "takes 9 days and there are 5"),
    "off its pinned place": (_moved(0, x_mm=820), "a is pinned at 800 mm in row 1"),
    "in the other row than pinned": (_moved(0, y_mm=1550, row=0), "hangs at 800 mm in row 0"),
    "on another wall than pinned": (_moved(3, wall_code="north", x_mm=1500, y_mm=1550), "d is pinned to south"),
    "on the line of the other row": (_moved(1, row=1), "b is not centred"),
    "in a row that is not there": (_moved(3, row=1), "row 1, and south has 1"),
    "closer than the wall's own gap": (_moved(2, x_mm=341), "c and a are closer than 60 mm"),
    "closer to the end than the wall's own gap": (_moved(1, x_mm=159), "closer than 160 mm to an end of north"),
    "too close to the door": (_moved(3, x_mm=1021), "d is not clear of door"),
    "on two walls and must not": (_moved(1, wall_code="south", x_mm=600, y_mm=1300), "hang on north, south"),
    "next step names a stranger": (
        replace(PLAN, next_money_minor=9000, next_adds=1, next_added_codes=("zz",)),
        "not of the show",
    ),
    "next step names a work twice": (
        replace(PLAN, next_money_minor=9000, next_adds=0, next_changed_codes=("a",), next_removed_codes=("a",)),
        "names a work twice",
    ),
}


@pytest.mark.parametrize("name", FAULTS)
def test_planted_fault_is_named(name):
    spoiled, words = FAULTS[name]
    found = verify_plan(SOUND, spoiled)
    assert any(words in fault for fault in found), found


def test_pair_apart_may_share_a_row_with_another_work_between_them():
    assert verify_plan(SOUND, _moved(1, x_mm=1260, y_mm=950, row=1)) == ()


def test_neighbours_in_one_row_must_not_be_a_pair_apart():
    faults = verify_plan(REQUEST, PLAN)
    assert faults == ("c and a hang side by side and must not.",)


def test_row_takes_no_taller_work_than_it_has_room_for():
    low = replace(REQUEST.walls[0], row_height_mm=399, row_gap_mm=201)
    faults = verify_plan(replace(SOUND, walls=(low, REQUEST.walls[1])), PLAN)
    assert faults == tuple(f"{code} is taller than a row of north." for code in "abc")


def test_supply_without_price_ends_with_the_shelf():
    works = tuple(replace(work, options=work.options[1:], pin=None, must_hang=False) for work in REQUEST.works)
    four = tuple(
        replace(
            hung, finish_code="board", placement=replace(hung.placement, width_mm=380, height_mm=380, x_mm=x, y_mm=1310)
        )
        for hung, x in zip(PLAN.works, (80, 560, 1040, 2500), strict=True)
    )
    four = tuple(replace(hung, placement=replace(hung.placement, wall_code="south", row=0)) for hung in four)
    request = replace(REQUEST, works=works, lead_days=None, apart=())
    board = Purchase("board", 3_200_000, 3 * UNIT, (), 200_000, 0, 0)
    plan = replace(PLAN, works=four, purchases=(board,), charges=(), cost_minor=450)
    assert "board cannot be bought: 3200000 needed and 3000000 on the shelf." in verify_plan(request, plan)
    three = replace(plan, works=four[:3], cost_minor=350, worth=30, bound_worth=30)
    three = replace(three, purchases=(Purchase("board", 2_400_000, 2_400_000, (), 0, 600_000, 0),))
    assert verify_plan(request, three) == ()


def test_nothing_hung_owes_nothing_even_where_works_must_hang():
    empty = replace(PLAN, money_minor=0, cost_minor=0, worth=0, bound_worth=0, works=(), purchases=(), charges=())
    assert verify_plan(REQUEST, empty) == ()
