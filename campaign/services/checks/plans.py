"""Staircases, fixed plans, levels and what they promised, worked out anew."""

import json
from collections.abc import Iterator
from dataclasses import asdict
from itertools import pairwise
from typing import Any

from campaign.models import FixedPlan, Show, StaircaseRun
from campaign.planning import plan_at, verify_plan
from campaign.queries.minimum import read_minimum
from campaign.queries.plan_request import CODE_VERSION, dump_request, fingerprint_of, load_request, read_plan_request
from campaign.queries.promises import list_broken_promises
from campaign.queries.standing import find_run, load_staircase, read_standing
from campaign.services.checks.findings import Finding, finding
from campaign.services.checks.money import wall_money_of


def check_staircases() -> Finding:
    """Every stored staircase rises, belongs to its inputs, and each of its plans passes the verifier."""
    return finding("steps of the staircases", _staircases())


def _staircases() -> Iterator[str | None]:
    for run in StaircaseRun.objects.filter(code_version=CODE_VERSION).select_related("show"):
        where = f"staircase {run.pk} of {run.show.code}"
        if fingerprint_of(run.request) != run.fingerprint:
            yield f"{where} does not belong to the inputs stored with it"
        is_newest = run.inputs_version == run.show.inputs_version
        if is_newest and fingerprint_of(dump_request(read_plan_request(run.show))) != run.fingerprint:
            yield f"{where} is not of the show's inputs as they are"
        yield from _steps(run, where=where)


def _steps(run: StaircaseRun, *, where: str) -> Iterator[str | None]:
    request, staircase = load_request(run.request), load_staircase(run)
    for below, above in pairwise(staircase.steps):
        if not (below.money_minor < above.money_minor and below.worth < above.worth):
            yield f"{where} does not rise at {above.money_minor}"
    for step in staircase.steps:
        faults = verify_plan(request, plan_at(request, staircase, step.money_minor))
        yield f"{where}, plan at {step.money_minor}: {faults[0]}" if faults else None


def check_fixed_plans() -> Finding:
    """A plan that closing fixed is the best of its staircase for its money, and no minimum forbade it."""
    return finding("fixed plans", _fixed_plans())


def _fixed_plans() -> Iterator[str | None]:
    for fixed in FixedPlan.objects.select_related("run", "show"):
        plan = plan_at(load_request(fixed.run.request), load_staircase(fixed.run), fixed.money_minor)
        differs = _plain(asdict(plan)) != fixed.plan and fixed.run.code_version == CODE_VERSION
        too_dear = fixed.cost_minor > max(0, fixed.money_minor)
        minimum = read_minimum(fixed.show, in_hand_minor=fixed.money_minor)
        if differs or too_dear:
            yield f"the fixed plan of {fixed.show.code} is not its staircase's"
        elif minimum and minimum.gives_back and not minimum.is_reached:
            yield f"{fixed.show.code} was closed below the minimum under which all money goes back"
        else:
            yield None


def _plain(value: object) -> Any:
    """As JSON gives it back: tuples become lists."""
    return json.loads(json.dumps(value))


def check_levels() -> Finding:
    """A level counts as reached exactly when the rows have its money, and the broken promises are those told."""
    return finding("levels", _levels())


def _levels() -> Iterator[str | None]:
    for show in Show.objects.filter(state__in=("draft", "open")):
        run = find_run(show)
        if run is None:
            continue
        money_minor, standing = wall_money_of(show), read_standing(show)
        told = {one.level.pk for one in list_broken_promises(show)}
        steps = load_staircase(run).steps
        for one in standing.levels:
            level = one.level
            step = max((s for s in steps if s.money_minor <= level.money_minor), key=lambda s: s.money_minor)
            works = sum(index >= 0 for index in step.choice)
            holds = step.worth >= level.promised_worth and works >= level.promised_works
            fails = step.worth < level.promised_worth and works < level.promised_works
            if one.is_reached != (money_minor >= level.money_minor):
                yield f"level “{level.name}” of {show.code} is said to be {'' if one.is_reached else 'not '}reached"
            elif one.works != works:
                yield f"level “{level.name}” of {show.code} is said to hang {one.works} works, its step hangs {works}"
            elif level.pk in told and holds:
                yield f"level “{level.name}” of {show.code} is said to be broken and holds"
            elif level.pk not in told and fails and not run.is_quick:
                yield f"level “{level.name}” of {show.code} is broken and nobody is told"
            else:
                yield None
