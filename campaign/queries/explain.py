"""Why the show stands as it does: every work of the plan with its cost lines and what its worth is made of."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter
from typing import Any

from campaign.models import Finish, FixedPlan, Show, Size
from campaign.planning import Basis, CostLine, FinishSpec, Option, Plan, PlannedWork, PlanRequest
from campaign.planning.costs import cost_line, extent_of
from campaign.planning.specs import (
    PriceItem,
    RecipeLine,
    SizeSpec,
)


@dataclass(frozen=True, slots=True)
class ExplainedWork:
    """
    A work that hangs: its print and outer size, its cost line by line, and what its worth is made of.

    `lines` are computed from the price book as it is now; while edits wait for a new staircase, or after the close,
    they may not add up to the cost that was planned: then `is_from_today` is False.
    """

    number: int  # as the drawing has it
    planned: PlannedWork
    option: Option
    finish_name: str
    wall_name: str
    lines: tuple[CostLine, ...]
    need: int
    finish_worth: int
    factor_percent: int
    picture_sha256: str
    is_from_today: bool

    @property
    def centre_x_mm(self) -> int:
        """Middle of the work, from the wall's left end."""
        return self.planned.placement.x_mm + self.planned.placement.width_mm // 2


@dataclass(frozen=True, slots=True)
class WorkFacts:
    """What the artist said of a work and its sizes (factor by size code)."""

    need: int
    picture_sha256: str
    alt_text: str
    factors: Mapping[str, int]


def explain_plan(
    show: Show, *, plan: Plan, request: PlanRequest, facts: Mapping[str, WorkFacts]
) -> tuple[ExplainedWork, ...]:
    """Every work of `plan`, wall by wall from left to right. One query, whatever the number of works."""
    finishes = read_finishes(show)
    options = {
        (option.work_code, option.size_code, option.finish_code): option
        for work in request.works
        for option in work.options
    }
    walls = {wall.code: (index, wall.name) for index, wall in enumerate(request.walls)}
    numbers = {work.code: number for number, work in enumerate(request.works, start=1)}
    explained = [
        _explain(
            planned,
            number=numbers[planned.code],
            option=options[planned.code, planned.size_code, planned.finish_code],
            finish=finishes.get(planned.finish_code),
            facts=facts.get(planned.code),
            wall_name=walls[planned.placement.wall_code][1],
            show=show,
        )
        for planned in plan.works
    ]
    return tuple(sorted(explained, key=lambda e: (walls[e.planned.placement.wall_code][0], e.planned.placement.x_mm)))


def _explain(
    planned: PlannedWork, *, number: int, option: Option, finish: FinishSpec | None, facts: WorkFacts | None,
    wall_name: str, show: Show,
) -> ExplainedWork:  # fmt: skip
    lines: tuple[CostLine, ...] = ()
    if finish:
        extent = extent_of(SizeSpec(option.size_code, option.print_width_mm, option.print_height_mm), finish)
        lines = tuple(
            cost_line(line, extent=extent, currency=show.currency, locale=show.locale) for line in finish.lines
        )
    return ExplainedWork(
        number=number,
        planned=planned,
        option=option,
        finish_name=finish.name if finish else planned.finish_code,
        wall_name=wall_name,
        lines=lines,
        need=facts.need if facts else 0,
        finish_worth=finish.worth if finish else 0,
        factor_percent=facts.factors.get(option.size_code, 100) if facts else 100,
        picture_sha256=facts.picture_sha256 if facts else "",
        is_from_today=finish is not None and sum(line.amount_minor for line in lines) == planned.cost_minor,
    )


_FINISH_COLUMNS = (
    "code", "name", "worth", "border_mm", "mat_mm", "moulding_mm", "is_printed_at_home", "recipe_lines__basis",
    "recipe_lines__quantity_milli", "recipe_lines__waste_bp", "recipe_lines__item__code", "recipe_lines__item__name",
    "recipe_lines__item__unit", "recipe_lines__item__price_minor", "recipe_lines__item__per_milli",
    "recipe_lines__item__mass_g_per_unit",
)  # fmt: skip


def read_finishes(show: Show) -> dict[str, FinishSpec]:
    """The finishes of `show` with their recipes, by code, in the artist's order. One query."""
    rows = (
        Finish.objects.filter(show=show)
        .order_by("position", "pk", "recipe_lines__position", "recipe_lines__pk")
        .values_list(*_FINISH_COLUMNS)
    )
    return {code: _finish(code, list(lines)) for code, lines in groupby(rows, key=itemgetter(0))}


def _finish(code: str, rows: list[tuple[Any, ...]]) -> FinishSpec:
    _, name, worth, border, mat, moulding, at_home, *_ = rows[0]
    return FinishSpec(code, name, worth, border, mat, moulding, at_home, tuple(_lines(rows)))


def _lines(rows: Iterable[tuple[Any, ...]]) -> Iterable[RecipeLine]:
    for row in rows:
        basis, quantity, waste, *item = row[7:]
        if basis is not None:  # a finish without a recipe has one row without a line
            yield RecipeLine(PriceItem(*item), Basis(basis), quantity, waste)


def read_work_facts(show: Show) -> dict[str, WorkFacts]:
    """Need, picture and size factors of every work of `show`, by code. One query, no picture is loaded."""
    rows = (
        Size.objects.filter(work__show=show)
        .order_by("work__position", "work__pk")
        .values_list("work__code", "work__need", "work__picture__sha256", "work__alt_text", "code", "factor_percent")
    )
    facts: dict[str, WorkFacts] = {}
    for work_code, sizes in groupby(rows, key=itemgetter(0)):
        found = list(sizes)
        _, need, sha256, alt_text, *_ = found[0]
        facts[work_code] = WorkFacts(need, sha256 or "", alt_text, {row[4]: row[5] for row in found})
    return facts


def find_fixed(show: Show) -> FixedPlan | None:
    """The plan that closing the campaign fixed, with the staircase it was read from."""
    return FixedPlan.objects.select_related("run").filter(show=show).first()
