"""What each work of a plan costs to make, with its part of what is bought for all; without the costs of the show."""

from collections.abc import Mapping
from dataclasses import dataclass

from campaign.measures.money import allocate, portion
from campaign.planning.costing.recipe_lines import Extent, line_amount_minor, need_micro
from campaign.planning.inputs import Option
from campaign.planning.results import Plan
from campaign.planning.specs import Basis, FinishSpec

# What is measured around the print is its frame: mat, moulding, glazing, board.
FRAME_BASES = (Basis.OUTER_AREA, Basis.OUTER_PERIMETER, Basis.OUTER_SIZE)


def making_costs(plan: Plan, *, options: Mapping[str, Option]) -> dict[str, int]:
    """
    What every work that hangs costs to make, by its code.

    Parameters: options, the chosen option of each work that hangs.
    Returns: its own cost, its part of each purchase by how much it takes, and of a finish's set-up and least charge an
        equal part; together they are the plan's cost less what the show costs as a whole.
    """
    costs = {work.code: work.cost_minor for work in plan.works}
    for purchase in plan.purchases:
        takes = {code: _takes(option, supply=purchase.supply_code) for code, option in options.items()}
        _share(costs, purchase.cost_minor, weights={code: micro for code, micro in takes.items() if micro})
    for charge in plan.charges:
        having = {work.code: 1 for work in plan.works if work.finish_code == charge.finish_code}
        _share(costs, charge.setup_minor + charge.shortfall_minor, weights=having)
    return costs


@dataclass(frozen=True, slots=True)
class Framing:
    """How one work is finished: its recipe, its extent, and the codes of items that somebody gives for it."""

    finish: FinishSpec
    extent: Extent
    given: frozenset[str] = frozenset()


def frame_cost(framing: Framing, *, plan: Plan) -> int:
    """
    The part of a work's making that is its frame: every recipe line measured around the print.

    Raises: OverSizeTable when a price goes by size and the piece has outgrown the table.
    """
    bought = {purchase.supply_code: purchase for purchase in plan.purchases}
    total = 0
    for line in framing.finish.lines:
        if line.basis not in FRAME_BASES or line.item.code in framing.given:
            continue
        purchase, micro = bought.get(line.item.code), need_micro(line, extent=framing.extent)
        if purchase and micro:  # a line priced by size takes nothing of the shelf, though its item may lie there
            total += portion(purchase.cost_minor, numerator=micro, denominator=purchase.needed_micro)
        else:
            total += line_amount_minor(line, extent=framing.extent)
    return total


def _takes(option: Option, *, supply: str) -> int:
    return sum(need.quantity_micro for need in option.needs if need.supply_code == supply)


def _share(costs: dict[str, int], amount_minor: int, *, weights: Mapping[str, int]) -> None:
    if not weights:
        return
    for code, part in zip(weights, allocate(amount_minor, list(weights.values())), strict=True):
        costs[code] += part
