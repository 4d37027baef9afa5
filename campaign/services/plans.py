"""Computing staircases and keeping them; the engine runs outside any transaction."""

import logging
import time
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F, Q

from campaign.models import Show, StaircaseRun
from campaign.planning import PlanRequest, Staircase, build_staircase, plan_at, verify_plan
from campaign.queries.plan_request import CODE_VERSION, dump_request, fingerprint_of, read_plan_request
from campaign.queries.standing import dump_staircase, find_run
from campaign.services.promises import measure_new_promises

log = logging.getLogger(__name__)
LEASE = timedelta(minutes=2)


def touch_inputs(show: Show) -> None:
    """An edit changed what the plan depends on; the staircase is rebuilt next. Inside the edit's transaction."""
    Show.objects.filter(pk=show.pk).update(inputs_version=F("inputs_version") + 1)
    show.refresh_from_db(fields=["inputs_version"])


def refresh_staircase(*, show: Show, now: datetime) -> StaircaseRun:
    """
    Make sure that the newest staircase belongs to the show's inputs as they are now.

    Every plan of a new staircase is checked by the verifier before it is stored.
    Writes: StaircaseRun.
    Raises: AssertionError if the engine returned a plan that is not feasible - a bug, never stored.
    Repeat: with unchanged inputs nothing is computed.
    """
    show = Show.objects.get(pk=show.pk)
    run = find_run(show)
    if run and run.inputs_version == show.inputs_version:
        return run
    request = read_plan_request(show)
    dumped = dump_request(request)
    fingerprint = fingerprint_of(dumped)
    known = StaircaseRun.objects.filter(show=show, fingerprint=fingerprint, code_version=CODE_VERSION).first()
    if known:  # an edit was taken back: the answer is still there
        StaircaseRun.objects.filter(pk=known.pk).update(inputs_version=show.inputs_version)
        Show.objects.filter(pk=show.pk).update(rebuild_until_at=None)
        known.inputs_version = show.inputs_version
        return known
    Show.objects.filter(pk=show.pk).update(rebuild_until_at=now + LEASE)
    started = time.perf_counter()
    staircase = build_staircase(request)
    milliseconds = round((time.perf_counter() - started) * 1000)
    check_staircase(request, staircase)
    with transaction.atomic(durable=True):
        run, _ = StaircaseRun.objects.get_or_create(
            show=show,
            fingerprint=fingerprint,
            code_version=CODE_VERSION,
            defaults={
                "inputs_version": show.inputs_version,
                "steps": dump_staircase(staircase),
                "request": dumped,
                "milliseconds": milliseconds,
                "computed_at": now,
            },
        )
        measure_new_promises(show, staircase=staircase)
        Show.objects.filter(pk=show.pk).update(rebuild_until_at=None)
    return run


def check_staircase(request: PlanRequest, staircase: Staircase) -> None:
    """Every step's plan through the independent verifier. Raises: AssertionError naming the first fault."""
    for step in staircase.steps:
        faults = verify_plan(request, plan_at(request, staircase, step.money_minor))
        if faults:
            raise AssertionError(f"the plan at {step.money_minor} is not feasible: {faults[0]}")


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
    run = find_run(show)
    return run is None or run.inputs_version != show.inputs_version


def _claim(show: Show, *, now: datetime) -> bool:
    free = Q(rebuild_until_at=None) | Q(rebuild_until_at__lt=now)
    return Show.objects.filter(free, pk=show.pk).update(rebuild_until_at=now + LEASE) == 1
