"""Plan a show: costs, wall money, the staircase of best shows, places on the walls; plain Python, no framework."""

from campaign.planning.choose import build_staircase
from campaign.planning.costs import cost_option, options_for
from campaign.planning.income import Income, MoneyLine, WallMoney, wall_money
from campaign.planning.inputs import (
    Basis,
    BlockedArea,
    FinishSpec,
    Option,
    PlanRequest,
    PriceItem,
    RecipeLine,
    SizeSpec,
    WallSpec,
    WorkOptions,
    WorkSpec,
)
from campaign.planning.places import place_on_walls
from campaign.planning.plan import plan_at, plan_show
from campaign.planning.results import CostLine, Placement, Plan, PlannedWork, Staircase, Step
from campaign.planning.verify import verify_plan

__all__ = [
    "Basis",
    "BlockedArea",
    "CostLine",
    "FinishSpec",
    "Income",
    "MoneyLine",
    "Option",
    "Placement",
    "Plan",
    "PlanRequest",
    "PlannedWork",
    "PriceItem",
    "RecipeLine",
    "SizeSpec",
    "Staircase",
    "Step",
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
