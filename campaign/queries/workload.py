"""What there is to print and to finish: of a plan and of the ordered copies."""

from dataclasses import dataclass
from typing import Literal

from django.db.models import Count

from campaign.models import Copy, Edition, Show
from campaign.planning import Plan, PlanRequest, plan_at
from campaign.planning.days.remedies import Smaller
from campaign.queries.explain import find_fixed
from campaign.queries.plan_request import edition_printer_seconds, load_request
from campaign.queries.standing import Standing, load_plan

Basis = Literal["full", "paid", "now", "fixed"]


@dataclass(frozen=True, slots=True)
class Workload:
    """What is printed and finished: works of a plan, copies ordered, printer time of both, the longest finish."""

    works: int
    copies: int
    printer_seconds: int
    framing_days: int


def read_workload(standing: Standing, *, basis: Basis) -> Workload:
    """
    What there is to do on one of these grounds; two or three queries.

    "full": the best show of the highest level and the whole edition; "paid": what every open order pays for; "now":
    what the money in hand pays for; "fixed": the plan that the close has fixed.
    """
    plan, request = _plan_of(standing, basis=basis)
    copies, seconds = _ordered(standing.show, basis=basis)
    return load_of(plan, request=request, copies=copies, copies_seconds=seconds)


def load_of(plan: Plan | None, *, request: PlanRequest | None, copies: int, copies_seconds: int) -> Workload:
    """The workload of a plan and of ordered copies."""
    if plan is None or request is None:
        return Workload(0, copies, copies_seconds, 0)
    options = {(o.work_code, o.size_code, o.finish_code): o for work in request.works for o in work.options}
    chosen = [options[work.code, work.size_code, work.finish_code] for work in plan.works]
    return Workload(
        works=len(chosen),
        copies=copies,
        printer_seconds=copies_seconds + sum(option.printer_seconds for option in chosen),
        framing_days=max((option.lead_days for option in chosen), default=0),
    )


def list_smaller(standing: Standing, *, workload: Workload, basis: Basis) -> tuple[Smaller, ...]:
    """Other shows of the staircase that take less time, best first; of those that take the same the best."""
    if standing.staircase is None or standing.request is None or basis == "fixed":
        return ()
    _, copies_seconds = _ordered(standing.show, basis=basis)
    a_day = max(1, standing.show.print_hours_milli * 3600 // 1000)
    found: dict[tuple[int, int], Smaller] = {}
    for step in reversed(standing.staircase.steps):
        chosen = [work.options[i] for work, i in zip(standing.request.works, step.choice, strict=True) if i >= 0]
        seconds = copies_seconds + sum(option.printer_seconds for option in chosen)
        framing = max((option.lead_days for option in chosen), default=0)
        if chosen and len(chosen) <= workload.works:
            found.setdefault((-(-seconds // a_day), framing), Smaller(len(chosen), seconds, framing))
    return tuple(found.values())


def _plan_of(standing: Standing, *, basis: Basis) -> tuple[Plan | None, PlanRequest | None]:
    fixed = find_fixed(standing.show) if basis == "fixed" else None
    if fixed is not None:
        return load_plan(fixed.plan), load_request(fixed.run.request)
    if basis != "full" or standing.request is None or standing.staircase is None:
        return (standing.if_paid if basis == "paid" else standing.now), standing.request
    top_minor = standing.staircase.steps[-1].money_minor
    money_minor = max((level.level.money_minor for level in standing.levels), default=top_minor)
    return plan_at(standing.request, standing.staircase, money_minor), standing.request


def _ordered(show: Show, *, basis: Basis) -> tuple[int, int]:
    """Copies to print and the printer time they take."""
    if basis == "full":
        return sum(edition.size for edition in show.editions.all()), edition_printer_seconds(show)
    states = [Copy.State.SPOKEN_FOR] if basis in ("now", "fixed") else [Copy.State.SPOKEN_FOR, Copy.State.HELD]
    rows = Copy.objects.filter(edition__show=show, state__in=states).values("edition").annotate(copies=Count("pk"))
    counts: dict[int, int] = {row["edition"]: row["copies"] for row in rows}
    seconds = sum(_copies_seconds(one, copies=counts.get(one.pk, 0), show=show) for one in show.editions.all())
    return sum(counts.values()), seconds


def _copies_seconds(edition: Edition, *, copies: int, show: Show) -> int:
    area_mm2 = edition.width_mm * edition.height_mm * copies
    return -(-area_mm2 * show.printer_seconds_per_m2 // 1_000_000)
