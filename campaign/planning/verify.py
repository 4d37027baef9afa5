"""
Whether a plan is what it says: recomputed from the request alone.

Knows only the definition of feasible, and imports nothing of the code that chooses or places; a plan is checked
here before it is stored.
"""

import itertools
from collections.abc import Iterator

from campaign.planning.inputs import (
    Option,
    PlanRequest,
    WallSpec,
)
from campaign.planning.results import Placement, Plan, PlannedWork


def verify_plan(request: PlanRequest, plan: Plan) -> tuple[str, ...]:
    """
    Faults of a plan, each one sentence; empty when it is sound.

    Checks: each work once, in an option on offer with that option's cost, worth and mass; frames of the right size,
    on a wall of the show, middle on the centre line, clear of the ends, of blocked areas and of each other by the
    minimum gap; money, worth and printer time add up and stay within their limits; what is said about the next
    step and about the proof is consistent.
    """
    return tuple(
        itertools.chain(
            _check_works(request, plan), _check_walls(request, plan), _check_sums(request, plan), _check_claims(plan)
        )
    )


def _option_of(request: PlanRequest, planned: PlannedWork) -> Option | None:
    offered = [
        option
        for work in request.works
        if work.code == planned.code
        for option in work.options
        if (option.size_code, option.finish_code) == (planned.size_code, planned.finish_code)
    ]
    exact = [option for option in offered if option.cost_minor == planned.cost_minor]
    return next(iter(exact or offered), None)


def _check_works(request: PlanRequest, plan: Plan) -> Iterator[str]:
    titles = {work.code: work.title for work in request.works}
    seen: set[str] = set()
    for planned in plan.works:
        code = planned.code
        if code in seen:
            yield f"{code} hangs more than once."
        seen.add(code)
        option = _option_of(request, planned)
        if option is None:
            yield f"{code} is not offered in {planned.size_code}, {planned.finish_code}."
            continue
        if planned.title != titles[code]:
            yield f"{code} is titled {planned.title!r}, the request says {titles[code]!r}."
        for name in ("cost_minor", "worth", "mass_g"):
            if getattr(planned, name) != getattr(option, name):
                yield f"{code} has {name} {getattr(planned, name)}, its option {getattr(option, name)}."
        place = planned.placement
        if place.work_code != code:
            yield f"{code} carries the placement of {place.work_code}."
        if (place.width_mm, place.height_mm) != (option.width_mm, option.height_mm):
            yield f"{code} is placed as {place.width_mm} x {place.height_mm} mm, its frame differs."


def _check_walls(request: PlanRequest, plan: Plan) -> Iterator[str]:
    walls = {wall.code: wall for wall in request.walls}
    places = [planned.placement for planned in plan.works]
    for place in places:
        wall = walls.get(place.wall_code)
        if wall is None:
            yield f"{place.work_code} hangs on {place.wall_code}, which is not a wall of the show."
            continue
        yield from _check_on_wall(place, wall=wall, gap_mm=request.min_gap_mm)
    for one, other in itertools.combinations(places, 2):
        if one.wall_code == other.wall_code and _gap_mm(one.x_mm, one.width_mm, other) < request.min_gap_mm:
            yield f"{one.work_code} and {other.work_code} are closer than {request.min_gap_mm} mm."


def _check_on_wall(place: Placement, *, wall: WallSpec, gap_mm: int) -> Iterator[str]:
    code, right, top = place.work_code, place.x_mm + place.width_mm, place.y_mm + place.height_mm
    free_mm = wall.end_margin_mm + gap_mm
    if place.x_mm < free_mm or right > wall.width_mm - free_mm:
        yield f"{code} comes closer than {free_mm} mm to an end of {wall.code}."
    if place.y_mm < 0 or top > wall.height_mm:
        yield f"{code} does not fit the height of {wall.code}."
    if abs(place.y_mm + top - 2 * wall.centre_mm) > 1:
        yield f"{code} is not centred on the line of {wall.code}."
    for area in wall.blocked:
        beside = place.y_mm < area.y_mm + area.height_mm and area.y_mm < top
        if beside and _gap_mm(area.x_mm, area.width_mm, place) < gap_mm:
            yield f"{code} is not clear of {area.name} on {wall.code}."


def _gap_mm(x_mm: int, width_mm: int, place: Placement) -> int:
    """Clear distance along the wall; negative when they overlap."""
    return max(place.x_mm - (x_mm + width_mm), x_mm - (place.x_mm + place.width_mm))


def _check_sums(request: PlanRequest, plan: Plan) -> Iterator[str]:
    cost = sum(planned.cost_minor for planned in plan.works) + (request.show_cost_minor if plan.works else 0)
    if plan.cost_minor != cost:
        yield f"The plan says it costs {plan.cost_minor}, its parts cost {cost}."
    if cost > max(plan.money_minor, 0):
        yield f"The plan costs {cost} and the money is {plan.money_minor}."
    worth = sum(planned.worth for planned in plan.works)
    if plan.worth != worth:
        yield f"The plan says it is worth {plan.worth}, its parts are worth {worth}."
    options = [_option_of(request, planned) for planned in plan.works]
    seconds = sum(option.printer_seconds for option in options if option is not None)
    if seconds > request.printer_seconds:
        yield f"The plan prints for {seconds} s and the printer has {request.printer_seconds} s."


def _check_claims(plan: Plan) -> Iterator[str]:
    if plan.bound_worth < plan.worth:
        yield f"The bound {plan.bound_worth} is below the worth {plan.worth}."
    if plan.proved != (plan.bound_worth == plan.worth):
        yield "Proved and bound do not agree."
    if (plan.next_money_minor is None) != (plan.next_adds is None):
        yield "The next step has money without works, or works without money."
    if plan.next_money_minor is not None and plan.next_money_minor <= plan.money_minor:
        yield f"The next step at {plan.next_money_minor} is not above the money {plan.money_minor}."
    if plan.next_adds is not None and plan.next_adds != len(plan.next_added_codes):
        yield "The number of works added differs from the works named."
    hanging = {planned.code for planned in plan.works}
    if hanging & set(plan.next_added_codes) or not hanging >= {*plan.next_changed_codes, *plan.next_removed_codes}:
        yield "The next step adds what hangs already, or changes what does not hang."
