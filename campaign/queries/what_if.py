"""What if a price, a wall, a worth, the money, the printer or the commission were another: nothing is stored."""

from dataclasses import dataclass

from campaign.drawing.staircase import DrawnStaircase, draw_two_staircases
from campaign.models import Show
from campaign.planning import Plan, PlanRequest, Staircase, plan_at
from campaign.planning.choosing.carry import carry_over
from campaign.planning.costing.changes import NO_CHANGES, Changes
from campaign.planning.explaining.landings import hung_count
from campaign.queries.compared import ComparedPlans, read_compared
from campaign.queries.plan_request import read_plan_request
from campaign.queries.price_book import sized_codes
from campaign.queries.stairs import level_marks
from campaign.queries.standing import Standing
from campaign.queries.trials import build_trial


@dataclass(frozen=True, slots=True)
class Trial:
    """What is tried; None leaves the money in hand and the commission as they are."""

    changes: Changes = NO_CHANGES
    money_minor: int | None = None
    commission_bp: int | None = None


@dataclass(frozen=True, slots=True)
class LevelThen:
    """A level now and then: how many works its sum hangs, and what they are worth."""

    name: str
    money_minor: int
    works: int
    works_then: int
    worth: int
    worth_then: int


@dataclass(frozen=True, slots=True)
class WhatIf:
    """
    The show as it is beside the show as it would be.

    `full` and `full_then` are the last steps of the staircases: (money, works, worth). `gap_percent` says how far the
    plan then may be from the best possible, empty where it is proved best.
    """

    now_minor: int
    then_minor: int
    now: Plan
    then: Plan
    drawn: DrawnStaircase
    compared: ComparedPlans
    levels: tuple[LevelThen, ...]
    full: tuple[int, int, int]
    full_then: tuple[int, int, int]
    gap_percent: str


def read_what_if(standing: Standing, *, trial: Trial) -> WhatIf | None:
    """
    The standing of a show as it would be with `trial`; None before the first staircase.

    Raises: PlanningError when no staircase can be built from the changed values.
    Notes: the staircase then is built quickly and is no worse than the shows of now carried over.
    """
    request, staircase = standing.request, standing.staircase
    if request is None or staircase is None:
        return None
    later_request, later = _then(standing.show, request=request, staircase=staircase, changes=trial.changes)
    now_minor = standing.in_hand_minor
    then_minor = now_minor if trial.money_minor is None else trial.money_minor
    now, then = plan_at(request, staircase, now_minor), plan_at(later_request, later, then_minor)
    return WhatIf(
        now_minor=now_minor,
        then_minor=then_minor,
        now=now,
        then=then,
        drawn=draw_two_staircases(
            staircase, later, now_minor=now_minor, then_minor=then_minor, levels=level_marks(standing)
        ),
        compared=read_compared(standing.show, before=now, after=then, request=request, later_request=later_request),
        levels=tuple(_level_then(one.level.name, one.level.money_minor, staircase, later) for one in standing.levels),
        full=_full(staircase),
        full_then=_full(later),
        gap_percent="" if then.proved else f"{(then.bound_worth - then.worth) / max(then.worth, 1) * 100:.1f}",
    )


def _then(show: Show, *, request: PlanRequest, staircase: Staircase, changes: Changes) -> tuple[PlanRequest, Staircase]:
    """The changed request and its staircase; those of now where nothing that they depend on changes."""
    if changes == NO_CHANGES:
        return request, staircase
    later = read_plan_request(show, changes=changes)
    return later, carry_over(staircase, known=request, into=later, found=build_trial(later))


def _level_then(name: str, money_minor: int, now: Staircase, then: Staircase) -> LevelThen:
    step, later = now.at(money_minor), then.at(money_minor)
    return LevelThen(name, money_minor, hung_count(step), hung_count(later), step.worth, later.worth)


def _full(staircase: Staircase) -> tuple[int, int, int]:
    top = staircase.steps[-1]
    return top.money_minor, hung_count(top), top.worth


@dataclass(frozen=True, slots=True)
class WhatCanChange:
    """What the form offers: (code, name and value now) of prices, walls and finishes."""

    items: tuple[tuple[str, str, int], ...]
    walls: tuple[tuple[str, str, int], ...]
    finishes: tuple[tuple[str, str, int], ...]


def list_what_can_change(show: Show) -> WhatCanChange:
    """Prices that a finish takes, those of size tables left out; walls and finishes of `show`. Four queries."""
    used = show.price_items.filter(recipe_lines__isnull=False).exclude(code__in=sized_codes(show)).distinct()
    return WhatCanChange(
        items=tuple(used.values_list("code", "name", "price_minor")),
        walls=tuple(show.walls.values_list("code", "name", "width_mm")),
        finishes=tuple(show.finishes.values_list("code", "name", "worth")),
    )
