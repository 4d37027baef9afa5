"""From the staircase to one plan: what hangs for a sum of money, where, and what the next step would bring."""

from collections.abc import Sequence

from campaign.planning.costing.purchases import cost_of
from campaign.planning.inputs import (
    PlanRequest,
)
from campaign.planning.placing.places import place_on_walls
from campaign.planning.results import Plan, PlannedWork, Staircase


def plan_at(request: PlanRequest, staircase: Staircase, money_minor: int, *, is_arranged: bool = True) -> Plan:
    """
    The best plan for a sum of money, read off the staircase.

    Parameters: staircase, built from the same request; money_minor, also below zero, when nothing hangs;
        is_arranged as in place_on_walls.
    Returns: the works in the request's order with their places, and the next step.
    """
    step, following = staircase.at(money_minor), staircase.next_after(money_minor)
    places = {place.work_code: place for place in place_on_walls(request, step.choice, is_arranged=is_arranged)}
    works = tuple(
        PlannedWork(
            code=work.code,
            title=work.title,
            size_code=work.options[picked].size_code,
            finish_code=work.options[picked].finish_code,
            cost_minor=work.options[picked].cost_minor,
            worth=work.options[picked].worth,
            mass_g=work.options[picked].mass_g,
            placement=places[work.code],
        )
        for work, picked in zip(request.works, step.choice, strict=True)
        if picked >= 0
    )
    cost = cost_of(request, step.choice)
    added, changed, removed = compare_choices(request, now=step.choice, later=following.choice if following else None)
    return Plan(
        money_minor=money_minor,
        cost_minor=cost.total_minor,
        worth=step.worth,
        proved=step.proved,
        bound_worth=step.bound_worth,
        works=works,
        next_money_minor=following.money_minor if following else None,
        next_adds=len(added) if following else None,
        next_added_codes=added,
        next_changed_codes=changed,
        next_removed_codes=removed,
        purchases=cost.purchases,
        charges=cost.charges,
    )


def compare_choices(
    request: PlanRequest, *, now: Sequence[int], later: Sequence[int] | None
) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """Codes of the works that the later choice adds, hangs in another size or finish, and takes down."""
    pairs = list(zip(request.works, now, later if later is not None else now, strict=True))
    added = tuple(work.code for work, before, after in pairs if before < 0 <= after)
    changed = tuple(work.code for work, before, after in pairs if before >= 0 and after >= 0 and before != after)
    removed = tuple(work.code for work, before, after in pairs if after < 0 <= before)
    return added, changed, removed
