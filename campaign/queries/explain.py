"""Why the show stands as it does: every work of the plan with its cost lines and what its worth is made of."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import groupby
from operator import itemgetter

from campaign.models import FixedPlan, OptionWorth, Show, Size
from campaign.planning import (
    CostLine,
    FinishSpec,
    Option,
    Plan,
    PlannedWork,
    PlanRequest,
    SizeSpec,
    Wording,
    bill_lines,
)
from campaign.planning.costing.recipe_lines import cost_lines, extent_of
from campaign.planning.errors import OverSizeTable
from campaign.queries.price_book import PriceBook, wording_of


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
    is_own_worth: bool = False  # the artist's own points for this size and finish

    @property
    def centre_x_mm(self) -> int:
        """Middle of the work, from the wall's left end."""
        return self.planned.placement.x_mm + self.planned.placement.width_mm // 2


@dataclass(frozen=True, slots=True)
class WorkFacts:
    """What the artist said of a work and its sizes: factor by size code, own worths by size and finish code."""

    need: int
    picture_sha256: str
    alt_text: str
    factors: Mapping[str, int]
    coverage_percent: int = 100
    own_worths: Mapping[tuple[str, str], int] = field(default_factory=dict)


def explain_plan(
    show: Show, *, plan: Plan, request: PlanRequest, facts: Mapping[str, WorkFacts], book: PriceBook
) -> tuple[ExplainedWork, ...]:
    """Every work of `plan`, wall by wall from left to right, upper row first. No query."""
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
            book=book,
            facts=facts.get(planned.code),
            wall_name=walls[planned.placement.wall_code][1],
            wording=wording_of(show),
        )
        for planned in plan.works
    ]
    return tuple(sorted(explained, key=lambda one: _reading_order(one.planned, walls=walls)))


def _reading_order(planned: PlannedWork, *, walls: Mapping[str, tuple[int, str]]) -> tuple[int, int, int]:
    place = planned.placement
    return walls[place.wall_code][0], place.row, place.x_mm


def _explain(
    planned: PlannedWork, *, number: int, option: Option, book: PriceBook, facts: WorkFacts | None,
    wall_name: str, wording: Wording,
) -> ExplainedWork:  # fmt: skip
    finish = book.finishes.get(planned.finish_code)
    lines = _lines(option, finish=finish, book=book, facts=facts, wording=wording) if finish else ()
    worth = facts.own_worths.get((option.size_code, option.finish_code)) if facts else None
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
        is_own_worth=worth is not None,
    )


def _lines(
    option: Option, *, finish: FinishSpec, book: PriceBook, facts: WorkFacts | None, wording: Wording
) -> tuple[CostLine, ...]:
    """The cost lines as the price book has them now; none when a size table has become too small meanwhile."""
    size = SizeSpec(option.size_code, option.print_width_mm, option.print_height_mm)
    extent = extent_of(size, finish, coverage_percent=facts.coverage_percent if facts else 100)
    try:
        return cost_lines(
            finish.lines, extent=extent, wording=wording, givers=dict(book.given.get(option.work_code, ()))
        )
    except OverSizeTable:
        return ()


def read_work_facts(show: Show) -> dict[str, WorkFacts]:
    """Need, picture, coverage, size factors and own worths of every work, by code. Two queries, no picture loaded."""
    own: defaultdict[str, dict[tuple[str, str], int]] = defaultdict(dict)
    worths = OptionWorth.objects.filter(work__show=show)
    for code, size, finish, worth in worths.values_list("work__code", "size__code", "finish__code", "worth"):
        own[code][size, finish] = worth
    rows = Size.objects.filter(work__show=show).order_by("work__position", "work__pk").values_list(*_FACT_FIELDS)
    facts: dict[str, WorkFacts] = {}
    for work_code, sizes in groupby(rows, key=itemgetter(0)):
        found = list(sizes)
        _, need, coverage_percent, sha256, alt_text, *_ = found[0]
        factors = {row[5]: row[6] for row in found}
        facts[work_code] = WorkFacts(need, sha256 or "", alt_text, factors, coverage_percent, own[work_code])
    return facts


_FACT_FIELDS = (
    "work__code", "work__need", "work__coverage_percent", "work__picture__sha256", "work__alt_text", "code",
    "factor_percent",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class PlanBill:
    """
    What a plan costs, opened into its parts; together they are the plan's cost.

    `works_minor` is what the works cost by themselves; `bought` are supplies bought for the show, set-ups and least
    charges; `show_lines` what the show costs as a whole. `is_from_today` is False when the show costs were edited
    since, so that they stand in one line.
    """

    works_minor: int
    bought: tuple[CostLine, ...]
    show_lines: tuple[CostLine, ...]
    is_from_today: bool

    @property
    def bought_minor(self) -> int:
        """Supplies and charges together."""
        return sum(line.amount_minor for line in self.bought)

    @property
    def show_minor(self) -> int:
        """The show as a whole."""
        return sum(line.amount_minor for line in self.show_lines)

    @property
    def total_minor(self) -> int:
        """The plan's cost."""
        return self.works_minor + self.bought_minor + self.show_minor


def read_bill(show: Show, *, plan: Plan, request: PlanRequest) -> PlanBill:
    """The bill of `plan`, made from `request`. One query."""
    bought = bill_lines(plan, supplies=request.supplies, finishes=request.finishes, wording=wording_of(show))
    lines = tuple(CostLine(cost.name, cost.note, cost.amount_minor) for cost in show.show_costs.all())
    is_from_today = sum(line.amount_minor for line in lines) == request.show_cost_minor
    if not is_from_today:
        lines = (CostLine("Show costs when the plan was made", "", request.show_cost_minor),)
    return PlanBill(
        works_minor=sum(work.cost_minor for work in plan.works),
        bought=bought,
        show_lines=lines if plan.works else (),
        is_from_today=is_from_today,
    )


def find_fixed(show: Show) -> FixedPlan | None:
    """The plan that closing the campaign fixed, with the staircase it was read from."""
    return FixedPlan.objects.select_related("run").filter(show=show).first()
