"""Computing staircases and keeping them; the engine runs outside any transaction."""

import json
import logging
import time
from collections.abc import Sequence
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F, JSONField, Q, QuerySet, TextField, Value
from django.db.models.functions import Cast

from campaign.models import FixedPlan, Show, StaircaseRun
from campaign.planning import PlanRequest, Staircase, build_staircase, plan_at, quick_staircase, verify_plan
from campaign.planning.choosing.carry import quick_after
from campaign.queries.money import MoneyPicture, read_money
from campaign.queries.plan_request import (
    CODE_VERSION,
    canonical_text,
    dump_request,
    fingerprint_of,
    fingerprint_of_text,
    load_request_text,
    read_plan_request,
)
from campaign.queries.standing import as_text, dump_staircase, load_run_request, load_staircase, load_staircase_text
from campaign.services.promises import measure_new_promises

log = logging.getLogger(__name__)
LEASE = timedelta(minutes=2)
KEPT_RUNS = 12  # exact staircases of a show, for edits that are taken back
KNOWN_STEPS = 64  # looked at again after an edit; more would take longer than a reader waits


def touch_inputs(show: Show) -> None:
    """An edit changed what the plan depends on; the staircase is rebuilt next. Inside the edit's transaction."""
    Show.objects.filter(pk=show.pk).update(inputs_version=F("inputs_version") + 1)
    show.refresh_from_db(fields=["inputs_version"])


def refresh_staircase(*, show: Show, now: datetime) -> StaircaseRun:
    """
    Make sure that the newest exact staircase belongs to the show's inputs as they are now.

    Every plan of a new staircase is checked by the verifier before it is stored.
    Writes: StaircaseRun; quick ones that it takes the place of are deleted, and exact ones of long ago.
    Raises: AssertionError if the engine returned a plan that is not feasible - a bug, never stored.
    Repeat: with unchanged inputs nothing is computed.
    """
    show = Show.objects.get(pk=show.pk)
    run = _find_exact(show)
    if run:
        return run
    request = read_plan_request(show)
    dumped = dump_request(request)
    fingerprint = fingerprint_of(dumped)
    known = _known(show, fingerprint=fingerprint)
    if known and not known.is_quick:  # an edit was taken back: the answer is still there
        return _made_current(known, show=show)
    Show.objects.filter(pk=show.pk).update(rebuild_until_at=now + LEASE)
    started = time.perf_counter()
    staircase = build_staircase(request)
    milliseconds = round((time.perf_counter() - started) * 1000)
    check_staircase(request, staircase)
    _check_shown(show, request=request, staircase=staircase)
    with transaction.atomic(durable=True):
        run, _ = StaircaseRun.objects.get_or_create(
            show=show,
            fingerprint=fingerprint,
            code_version=CODE_VERSION,
            is_quick=False,
            defaults={
                "inputs_version": show.inputs_version,
                "steps": dump_staircase(staircase),
                "request": dumped,
                "milliseconds": milliseconds,
                "computed_at": now,
            },
        )
        measure_new_promises(show, staircase=staircase)
        _forget_old(show)
        Show.objects.filter(pk=show.pk).update(rebuild_until_at=None)
    return run


def refresh_quick(*, show: Show, now: datetime, money: MoneyPicture | None = None) -> StaircaseRun:
    """
    Make sure that some staircase belongs to the show's inputs as they are now: the exact one if it is known, else one
    found fast, with its bounds. What an edit calls last, outside its transaction; the exact one follows by the sweep.

    The plans of the money in hand, and of what would be if all open pledges were paid, are checked by the verifier.
    `money` saves reading it to a caller who has it.
    Writes: StaircaseRun.
    Raises: AssertionError as `refresh_staircase`.
    Repeat: with unchanged inputs nothing is computed.
    """
    show = Show.objects.get(pk=show.pk)
    run = _find_any(show)
    if run:
        return run
    request = read_plan_request(show)
    request_text = canonical_text(dump_request(request))
    fingerprint = fingerprint_of_text(request_text)
    known = _known(show, fingerprint=fingerprint)
    if known:
        return _made_current(known, show=show)
    money = money or read_money(show)
    sums = {money.in_hand.total_minor, money.if_paid.total_minor}
    started = time.perf_counter()
    staircase = _found_fast(show, request=request, sums_minor=sorted(sums))
    milliseconds = round((time.perf_counter() - started) * 1000)
    for asked in sums:
        check_plan(request, staircase, money_minor=asked)
    steps_text = json.dumps(dump_staircase(staircase))
    run, is_new = StaircaseRun.objects.get_or_create(
        show=show,
        fingerprint=fingerprint,
        code_version=CODE_VERSION,
        is_quick=True,
        defaults={
            "inputs_version": show.inputs_version,
            "steps": _as_written(steps_text),
            "request": _as_written(request_text),
            "milliseconds": milliseconds,
            "computed_at": now,
        },
    )
    if is_new:
        _keep_made(run, steps_text=steps_text, staircase=staircase, request_text=request_text, request=request)
    return run


def _as_written(text: str) -> Cast:
    """A JSON text for its column, without writing it a second time."""
    return Cast(Value(text, output_field=TextField()), JSONField())


def _keep_made(
    run: StaircaseRun, *, steps_text: str, staircase: Staircase, request_text: str, request: PlanRequest
) -> None:
    """The pages that read the run next need not take the texts apart; on an engine that rewrites JSON they do."""
    load_staircase_text.keep(steps_text, staircase)
    load_request_text.keep(request_text, request)
    del run.steps, run.request  # the expressions that they were written by
    run.steps_text, run.request_text = steps_text, request_text  # type: ignore[attr-defined]  # as `as_text` gives them


def _found_fast(show: Show, *, request: PlanRequest, sums_minor: Sequence[int]) -> Staircase:
    """
    A staircase found quickly, from the shows of the last exact one on that are still feasible: a small edit must not
    look as if it spoiled the show, only because the proof of the old one took longer.
    """
    exact = StaircaseRun.objects.filter(show=show, code_version=CODE_VERSION, is_quick=False)
    run = as_text(exact).order_by("-inputs_version", "-pk").first()
    if run is None:
        return quick_staircase(request)
    return quick_after(
        load_staircase(run), known=load_run_request(run), into=request, most=KNOWN_STEPS, sums_minor=sums_minor
    )


def _forget_old(show: Show) -> None:
    """Drop quick staircases that have an exact one now, and exact ones of long ago that no fixed plan was read from."""
    runs = StaircaseRun.objects.filter(show=show)
    runs.filter(is_quick=True, inputs_version__lte=show.inputs_version).delete()
    fixed = FixedPlan.objects.filter(show=show).values("run")
    exact = runs.filter(is_quick=False).exclude(pk__in=fixed).order_by("-inputs_version", "-pk")
    runs.filter(pk__in=list(exact.values_list("pk", flat=True)[KEPT_RUNS:])).delete()


def _runs(show: Show) -> QuerySet[StaircaseRun]:
    """Staircases of the running code; steps and request, megabytes together, are read only where asked for."""
    return StaircaseRun.objects.filter(show=show, code_version=CODE_VERSION).defer("steps", "request")


def _find_exact(show: Show) -> StaircaseRun | None:
    """The exact staircase of the inputs as they are."""
    return _runs(show).filter(is_quick=False, inputs_version=show.inputs_version).first()


def _find_any(show: Show) -> StaircaseRun | None:
    """The staircase of the inputs as they are, exact before quick."""
    return _runs(show).filter(inputs_version=show.inputs_version).order_by("is_quick", "-pk").first()


def _known(show: Show, *, fingerprint: str) -> StaircaseRun | None:
    """A staircase of the same request, exact before quick."""
    return _runs(show).filter(fingerprint=fingerprint).order_by("is_quick").first()


def _made_current(run: StaircaseRun, *, show: Show) -> StaircaseRun:
    """A known answer belongs to the inputs as they are now; an exact one needs no rebuilding any more."""
    StaircaseRun.objects.filter(pk=run.pk).update(inputs_version=show.inputs_version)
    if not run.is_quick:
        measure_new_promises(show, staircase=load_staircase(run))
        Show.objects.filter(pk=show.pk).update(rebuild_until_at=None)
    run.inputs_version = show.inputs_version
    return run


def _check_shown(show: Show, *, request: PlanRequest, staircase: Staircase) -> None:
    """The two plans that are looked at first, arranged as they are shown."""
    money = read_money(show)
    for asked in {money.in_hand.total_minor, money.if_paid.total_minor}:
        check_plan(request, staircase, money_minor=asked)


def check_plan(request: PlanRequest, staircase: Staircase, *, money_minor: int, is_arranged: bool = True) -> None:
    """One plan through the independent verifier. Raises: AssertionError naming the first fault."""
    faults = verify_plan(request, plan_at(request, staircase, money_minor, is_arranged=is_arranged))
    if faults:
        raise AssertionError(f"the plan at {money_minor} is not feasible: {faults[0]}")


def check_staircase(request: PlanRequest, staircase: Staircase) -> None:
    """
    Every step's plan through the independent verifier, places as found first.

    Raises: AssertionError naming the first fault.
    """
    for step in staircase.steps:
        check_plan(request, staircase, money_minor=step.money_minor, is_arranged=False)


def refresh_stale_staircases(*, now: datetime) -> int:
    """
    Rebuild whatever edits have made stale and nobody is at already; what the sweep calls.

    A show whose staircase cannot be built is logged and tried again when its lease ends; the others go on.
    Repeat: nothing is left to do. Returns how many were rebuilt.
    """
    rebuilt = 0
    for show in Show.objects.exclude(state=Show.State.PRINTED):
        if not (_is_stale(show) and _claim(show, now=now)):
            continue
        try:
            refresh_staircase(show=show, now=now)
        except Exception:
            log.exception("the staircase of %s cannot be built", show.code)
        else:
            rebuilt += 1
    return rebuilt


def _is_stale(show: Show) -> bool:
    return _find_exact(show) is None


def _claim(show: Show, *, now: datetime) -> bool:
    free = Q(rebuild_until_at=None) | Q(rebuild_until_at__lt=now)
    return Show.objects.filter(free, pk=show.pk).update(rebuild_until_at=now + LEASE) == 1
