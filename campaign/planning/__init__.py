"""Plan a show: costs, wall money, the staircase of best shows, places on the walls; plain Python, no framework."""

from campaign.planning.choosing.choose import build_staircase, quick_staircase
from campaign.planning.costing.bills import bill_lines
from campaign.planning.costing.costs import cost_option, options_for
from campaign.planning.costing.offers import NotOffered, not_offered, over_table
from campaign.planning.costing.quantities import Wording
from campaign.planning.costing.supplies import supplies_for, terms_for
from campaign.planning.income import Income, MoneyLine, WallMoney, wall_money
from campaign.planning.inputs import (
    BlockedArea,
    FinishTerms,
    Need,
    Option,
    Pack,
    Pin,
    PlanRequest,
    Supply,
    WallSpec,
    WorkOptions,
)
from campaign.planning.placing.places import place_on_walls
from campaign.planning.plan import plan_at
from campaign.planning.results import (
    Charge,
    CostLine,
    Placement,
    Plan,
    PlannedWork,
    Purchase,
    Staircase,
    Step,
)
from campaign.planning.specs import (
    Basis,
    FinishSpec,
    PriceItem,
    PriceStep,
    RecipeLine,
    SizePrice,
    SizeSpec,
    WorkSpec,
)
from campaign.planning.verifying.verify import verify_plan

__all__ = [
    "Basis",
    "BlockedArea",
    "Charge",
    "CostLine",
    "FinishSpec",
    "FinishTerms",
    "Income",
    "MoneyLine",
    "Need",
    "NotOffered",
    "Option",
    "Pack",
    "Pin",
    "Placement",
    "Plan",
    "PlanRequest",
    "PlannedWork",
    "PriceItem",
    "PriceStep",
    "Purchase",
    "RecipeLine",
    "SizePrice",
    "SizeSpec",
    "Staircase",
    "Step",
    "Supply",
    "WallMoney",
    "WallSpec",
    "Wording",
    "WorkOptions",
    "WorkSpec",
    "bill_lines",
    "build_staircase",
    "cost_option",
    "not_offered",
    "options_for",
    "over_table",
    "place_on_walls",
    "plan_at",
    "quick_staircase",
    "supplies_for",
    "terms_for",
    "verify_plan",
    "wall_money",
]
