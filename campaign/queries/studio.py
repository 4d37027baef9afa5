"""Everything that the studio's standing page says, from at most thirteen queries."""

from dataclasses import dataclass

from campaign.models import Pledge, Show, ShowCost
from campaign.planning import Plan, PlanRequest
from campaign.queries.advice import list_open_pledges, next_step_sentence, standing_sentence, what_to_do
from campaign.queries.explain import ExplainedWork, explain_plan, find_fixed, load_plan
from campaign.queries.plan_request import load_request
from campaign.queries.standing import Standing, read_standing


@dataclass(frozen=True, slots=True)
class StairRow:
    """One step of the staircase in figures."""

    money_minor: int
    works: int
    worth: int
    is_here: bool
    is_reached: bool


@dataclass(frozen=True, slots=True)
class StudioPage:
    """The standing with its reasons; `plan` is the fixed one once the campaign is closed."""

    standing: Standing
    plan: Plan | None
    request: PlanRequest | None
    works: tuple[ExplainedWork, ...]
    show_costs: tuple[ShowCost, ...]
    open_pledges: tuple[Pledge, ...]
    sentence: str
    next_step: str
    advice: str
    stairs: tuple[StairRow, ...]

    @property
    def show_cost_minor(self) -> int:
        """What the show as a whole costs in this plan; nothing while nothing hangs."""
        return self.plan.cost_minor - sum(work.planned.cost_minor for work in self.works) if self.plan else 0

    @property
    def unspent_minor(self) -> int:
        """Wall money that the plan does not need."""
        return self.plan.money_minor - self.plan.cost_minor if self.plan else 0

    @property
    def gap_percent(self) -> str:
        """How far the plan may be from the best possible, where that is not proved."""
        if self.plan is None or self.plan.worth == 0:
            return ""
        return f"{(self.plan.bound_worth - self.plan.worth) / self.plan.worth * 100:.1f}"


def read_studio_page(show: Show) -> StudioPage:
    """The page of `show`."""
    standing = read_standing(show)
    plan, request = standing.now, standing.request
    fixed = find_fixed(show) if show.closed_at is not None else None
    if fixed:
        plan, request = load_plan(fixed.plan), load_request(fixed.run.request)
    open_pledges = list_open_pledges(show) if standing.money.open_pledges else []
    return StudioPage(
        standing=standing,
        plan=plan,
        request=request,
        works=explain_plan(show, plan=plan, request=request) if plan and request else (),
        show_costs=tuple(show.show_costs.all()),
        open_pledges=tuple(open_pledges),
        sentence=standing_sentence(standing, plan=plan),
        next_step=next_step_sentence(standing, plan=plan),
        advice=what_to_do(standing, editions=list(show.editions.all()), open_pledges=open_pledges),
        stairs=_stairs(standing),
    )


def _stairs(standing: Standing) -> tuple[StairRow, ...]:
    if standing.staircase is None:
        return ()
    here = standing.staircase.index_at(standing.in_hand_minor)
    return tuple(
        StairRow(
            money_minor=step.money_minor,
            works=sum(index >= 0 for index in step.choice),
            worth=step.worth,
            is_here=number == here,
            is_reached=number <= here,
        )
        for number, step in enumerate(standing.staircase.steps)
    )
