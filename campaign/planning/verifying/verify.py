"""
Whether a plan is what it says: recomputed from the request alone.

Knows only the definition of feasible (see PlanRequest), and imports nothing of the code that chooses, buys or places;
a plan is checked here before it is stored. Sums of money are in verify_costs.py, places in verify_places.py.
"""

import itertools
from collections import defaultdict
from collections.abc import Iterator, Sequence

from campaign.planning.inputs import Option, PlanRequest, WorkOptions
from campaign.planning.results import Plan, PlannedWork
from campaign.planning.verifying.verify_costs import check_costs
from campaign.planning.verifying.verify_places import check_places


def verify_plan(request: PlanRequest, plan: Plan) -> tuple[str, ...]:
    """
    Faults of a plan, each one sentence; empty when it is sound.

    Checks: each work once, in an option on offer with that option's cost, worth and mass; places (frames of the
    right size, on their row's line, the gap kept to each other, to blocked areas and to the ends, pins, apart and
    together); rules (must hang, series, number of finishes, lead days, printer time); purchases, charges, the whole
    cost and the worth add up and stay within the money; what is said about the next step and the proof is consistent.
    """
    works = {work.code: work for work in request.works}
    options = [_option_of(works.get(planned.code), planned) for planned in plan.works]
    taken = [option for option in options if option is not None]
    return tuple(
        itertools.chain(
            _check_works(plan, works=works, options=options),
            check_places(request, plan),
            _check_rules(request, plan, options=taken),
            check_costs(request, plan, options=taken),
            _check_worth(plan),
            _check_claims(plan, codes=set(works)),
        )
    )


def _option_of(work: WorkOptions | None, planned: PlannedWork) -> Option | None:
    if work is None:
        return None
    found = None
    for option in work.options:
        if option.size_code == planned.size_code and option.finish_code == planned.finish_code:
            if option.cost_minor == planned.cost_minor:
                return option
            found = found or option
    return found


def _check_works(plan: Plan, *, works: dict[str, WorkOptions], options: Sequence[Option | None]) -> Iterator[str]:
    seen: set[str] = set()
    for planned, option in zip(plan.works, options, strict=True):
        code = planned.code
        if code in seen:
            yield f"{code} hangs more than once."
        seen.add(code)
        if option is None:
            yield f"{code} is not offered in {planned.size_code}, {planned.finish_code}."
            continue
        if planned.title != works[code].title:
            yield f"{code} is titled {planned.title!r}, the request says {works[code].title!r}."
        if planned.cost_minor != option.cost_minor:
            yield f"{code} has cost_minor {planned.cost_minor}, its option {option.cost_minor}."
        if planned.worth != option.worth:
            yield f"{code} has worth {planned.worth}, its option {option.worth}."
        if planned.mass_g != option.mass_g:
            yield f"{code} has mass_g {planned.mass_g}, its option {option.mass_g}."
        place = planned.placement
        if place.work_code != code:
            yield f"{code} carries the placement of {place.work_code}."
        if place.width_mm != option.width_mm or place.height_mm != option.height_mm:
            yield f"{code} is placed as {place.width_mm} x {place.height_mm} mm, its frame differs."


def _check_rules(request: PlanRequest, plan: Plan, *, options: Sequence[Option]) -> Iterator[str]:
    """What must hang, series, finishes, lead days and printer time."""
    hanging = {planned.code for planned in plan.works}
    if hanging:
        for work in request.works:
            if work.must_hang and work.code not in hanging:
                yield f"{work.code} must hang and does not."
    if request.series_share_finish:
        yield from _check_series(request, plan)
    finishes = {option.finish_code for option in options}
    if request.most_finishes is not None and len(finishes) > request.most_finishes:
        yield f"The plan uses {len(finishes)} finishes and {request.most_finishes} are allowed."
    if request.lead_days is not None:
        for option in options:
            if option.lead_days > request.lead_days:
                yield f"{option.work_code} takes {option.lead_days} days and there are {request.lead_days}."
    seconds = sum(option.printer_seconds for option in options)
    if seconds > request.printer_seconds:
        yield f"The plan prints for {seconds} s and the printer has {request.printer_seconds} s."


def _check_series(request: PlanRequest, plan: Plan) -> Iterator[str]:
    series_of = {work.code: work.series for work in request.works if work.series}
    finishes: defaultdict[str, set[str]] = defaultdict(set)
    for planned in plan.works:
        if planned.code in series_of:
            finishes[series_of[planned.code]].add(planned.finish_code)
    for series, used in sorted(finishes.items()):
        if len(used) > 1:
            yield f"The series {series} hangs in more than one finish: {', '.join(sorted(used))}."


def _check_worth(plan: Plan) -> Iterator[str]:
    worth = sum(planned.worth for planned in plan.works)
    if plan.worth != worth:
        yield f"The plan says it is worth {plan.worth}, its parts are worth {worth}."


def _check_claims(plan: Plan, *, codes: set[str]) -> Iterator[str]:
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
    added, gone = set(plan.next_added_codes), {*plan.next_changed_codes, *plan.next_removed_codes}
    if hanging & added or not hanging >= gone:
        yield "The next step adds what hangs already, or changes what does not hang."
    if not codes >= added:
        yield "The next step adds works that are not of the show."
    named = (*plan.next_added_codes, *plan.next_changed_codes, *plan.next_removed_codes)
    if len(set(named)) != len(named):
        yield "The next step names a work twice."
