"""Everything that the studio's standing page says, from 17 queries at most, whatever the number of works."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from campaign.drawing.room import DrawnWall, Listed, draw_room
from campaign.models import Pledge, Show
from campaign.planning import Plan, PlanRequest
from campaign.queries.advice import list_open_pledges, next_step_sentence, standing_sentence, what_to_do
from campaign.queries.editions import with_stock
from campaign.queries.explain import (
    ExplainedWork,
    PlanBill,
    WorkFacts,
    explain_plan,
    find_fixed,
    read_bill,
    read_work_facts,
)
from campaign.queries.plan_request import load_request
from campaign.queries.price_book import read_price_book
from campaign.queries.promises import BrokenPromise, check_promises
from campaign.queries.stairs import StairRow, StairsPicture, draw_stairs, list_stairs
from campaign.queries.standing import Standing, load_plan, read_standing


@dataclass(frozen=True, slots=True)
class StudioPage:
    """The standing with its reasons; `plan` is the fixed one once the campaign is closed."""

    standing: Standing
    plan: Plan | None
    request: PlanRequest | None
    works: tuple[ExplainedWork, ...]
    bill: PlanBill | None
    open_pledges: tuple[Pledge, ...]
    sentence: str
    next_step: str
    advice: str
    broken: tuple[BrokenPromise, ...]
    stairs: tuple[StairRow, ...]
    steps: int
    staircase: StairsPicture | None
    walls: tuple[DrawnWall, ...]
    walls_if_paid: tuple[DrawnWall, ...]

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
    editions: list[Any] = list(with_stock(show.editions.all()))
    standing = read_standing(show, copies_free=sum(edition.copies_free for edition in editions))
    plan, request = standing.now, standing.request
    fixed = find_fixed(show) if show.closed_at is not None else None
    if fixed:
        plan, request = load_plan(fixed.plan), load_request(fixed.run.request)
    open_pledges = list_open_pledges(show) if standing.money.open_pledges else []
    facts = read_work_facts(show)
    stairs = list_stairs(standing)
    listed = _listed(request, facts=facts) if request else []
    return StudioPage(
        standing=standing,
        plan=plan,
        request=request,
        works=_explained(show, plan=plan, request=request, facts=facts),
        bill=read_bill(show, plan=plan, request=request) if plan and request else None,
        open_pledges=tuple(open_pledges),
        sentence=standing_sentence(standing, plan=plan),
        next_step=next_step_sentence(standing, plan=plan),
        advice=what_to_do(standing, editions=editions, open_pledges=open_pledges),
        broken=check_promises(standing),
        stairs=landings(stairs),
        steps=len(stairs),
        staircase=draw_stairs(standing),
        walls=draw_room(request, now=plan, pencil=None, works=listed) if request else (),
        walls_if_paid=() if fixed else _walls_if_paid(standing, works=listed),
    )


def _explained(
    show: Show, *, plan: Plan | None, request: PlanRequest | None, facts: dict[str, WorkFacts]
) -> tuple[ExplainedWork, ...]:
    if plan is None or request is None or not plan.works:
        return ()
    return explain_plan(show, plan=plan, request=request, facts=facts, book=read_price_book(show))


def _walls_if_paid(standing: Standing, *, works: Sequence[Listed]) -> tuple[DrawnWall, ...]:
    """The walls once every open order is paid, where that changes them; their codes differ from those of now."""
    now, later = standing.now, standing.if_paid
    if standing.request is None or now is None or later is None or later.works == now.works:
        return ()
    drawn = draw_room(standing.request, now=later, pencil=None, works=works)
    return tuple(replace(wall, code=f"{wall.code}-if-paid") for wall in drawn)


def _listed(request: PlanRequest, *, facts: dict[str, WorkFacts]) -> list[Listed]:
    return [
        Listed(work.code, number, facts[work.code].picture_sha256 if work.code in facts else "")
        for number, work in enumerate(request.works, start=1)
    ]


def landings(stairs: Sequence[StairRow]) -> tuple[StairRow, ...]:
    """The steps worth naming: where more works hang than on any before, where the show is, and the last one."""
    chosen: list[StairRow] = []
    most = -1
    for number, stair in enumerate(stairs):
        if stair.works > most or stair.is_here or number == len(stairs) - 1:
            chosen.append(stair)
        most = max(most, stair.works)
    return tuple(chosen)
