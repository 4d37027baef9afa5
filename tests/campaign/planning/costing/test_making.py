"""What each work costs to make adds up to the plan, and its frame is what is measured around the print."""

import pytest

from campaign.planning import (
    Basis,
    Charge,
    FinishSpec,
    Need,
    Option,
    Plan,
    PlannedWork,
    PriceItem,
    Purchase,
    RecipeLine,
)
from campaign.planning.costing.making import Framing, frame_cost, making_costs
from campaign.planning.costing.recipe_lines import extent_of
from campaign.planning.results import Placement
from campaign.planning.specs import SizePrice, SizeSpec


def work(code, *, cost, finish="oak"):
    return PlannedWork(code, code, "s", finish, cost, 10, 0, Placement(code, "n", 0, 0, 400, 300))


def option(code, *, needs=(), finish="oak"):
    return Option(code, "s", finish, 400, 300, 400, 300, 0, (), 0, 0, 10, needs=needs)


def plan(*works, purchases=(), charges=()):
    return Plan(99_999, 0, 0, True, 0, works, None, None, purchases=purchases, charges=charges)


def test_purchases_are_shared_by_what_is_taken_and_charges_alike():
    bought = Purchase("moulding", 3_000_000, 0, (1,), 3_000_000, 0, 1_001)
    found = making_costs(
        plan(work("a", cost=100), work("b", cost=200), work("c", cost=50, finish="bare"), purchases=(bought,),
             charges=(Charge("oak", 300, 1),)),
        options={
            "a": option("a", needs=(Need("moulding", 1_000_000),)),
            "b": option("b", needs=(Need("moulding", 2_000_000),)),
            "c": option("c", finish="bare"),
        },
    )  # fmt: skip
    assert found == {"a": 100 + 334 + 151, "b": 200 + 667 + 150, "c": 50}
    assert sum(found.values()) == 350 + 1_001 + 301


def test_what_the_shelf_gives_costs_nobody():
    shelf = Purchase("paper", 500_000, 500_000, (), 0, 0, 0)
    found = making_costs(plan(work("a", cost=7), purchases=(shelf,)), options={"a": option("a")})
    assert found == {"a": 7}


@pytest.mark.parametrize(("given", "cost"), [(frozenset(), 780 * 2 + 2_000), (frozenset({"moulding"}), 2_000)])
def test_a_frame_is_what_is_measured_around_the_print(given, cost):
    finish = FinishSpec(
        "oak", "Oak", 90, 0, 25, 25, True,
        (
            RecipeLine(PriceItem("paper", "Paper", "m2", 9_999), Basis.PRINT_AREA),
            RecipeLine(PriceItem("moulding", "Moulding", "m", 780), Basis.OUTER_PERIMETER),
            RecipeLine(PriceItem("glass", "Glass", "m2", 4_000, is_sold_in_packs=True), Basis.OUTER_AREA),
            RecipeLine(PriceItem("hook", "Hook", "piece", 50), Basis.PIECE),
        ),
    )  # fmt: skip
    extent = extent_of(SizeSpec("s", 400, 400), finish)
    bought = Purchase("glass", 500_000, 0, (1,), 1_000_000, 500_000, 4_000)
    found = frame_cost(Framing(finish, extent, given), plan=plan(work("a", cost=0), purchases=(bought,)))
    assert found == cost


def test_a_frame_priced_by_size_costs_its_price_though_spare_parts_of_it_lie_on_the_shelf():
    ready_made = PriceItem(
        "frame", "Frame", "piece", 100, shelf_milli=1_000, table=(SizePrice(500, 500, 2_400),)
    )  # fmt: skip
    finish = FinishSpec(
        "oak", "Oak", 90, 0, 0, 0, True,
        (RecipeLine(ready_made, Basis.OUTER_SIZE), RecipeLine(ready_made, Basis.PIECE)),
    )  # fmt: skip
    extent = extent_of(SizeSpec("s", 400, 400), finish)
    taken = Purchase("frame", 1_000_000, 1_000_000, (), 0, 0, 0)
    assert frame_cost(Framing(finish, extent), plan=plan(work("a", cost=2_400), purchases=(taken,))) == 2_400
