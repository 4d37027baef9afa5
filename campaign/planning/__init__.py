"""Plan a show: costs, wall money, the staircase of best shows, places on the walls; plain Python, no framework."""

from campaign.planning.choose import build_staircase
from campaign.planning.costs import cost_option, options_for
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
from campaign.planning.places import place_on_walls
from campaign.planning.plan import plan_at, plan_show
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
from campaign.planning.verify import verify_plan

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
    "WorkOptions",
    "WorkSpec",
    "build_staircase",
    "cost_option",
    "options_for",
    "place_on_walls",
    "plan_at",
    "plan_show",
    "verify_plan",
    "wall_money",
]
