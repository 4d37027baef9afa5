"""Two plans of one show side by side, in the show's own words."""

from collections.abc import Callable
from dataclasses import dataclass

from campaign.measures.lengths import format_size
from campaign.models import Show
from campaign.planning import Plan, PlannedWork, PlanRequest, plan_at
from campaign.planning.explaining.compare import Comparison, WorkChange, compare_plans
from campaign.queries.standing import Standing


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """A work and how it hangs before and after, in words; empty where it does not."""

    title: str
    before: str
    after: str


Rows = tuple[ComparedRow, ...]


@dataclass(frozen=True, slots=True)
class ComparedPlans:
    """
    A comparison with its rows worded.

    `finishes` has (name, works before, works after) for every finish of either plan.
    """

    comparison: Comparison
    gained: Rows
    lost: Rows
    changed: Rows
    moved: Rows
    finishes: tuple[tuple[str, int, int], ...]


class _Words:
    """How a work hangs, in words; names from the request its plan was made from."""

    def __init__(self, request: PlanRequest, *, finishes: dict[str, str], show: Show) -> None:
        self._finishes, self._unit = finishes, show.length_unit
        self._walls = {wall.code: wall.name for wall in request.walls}
        self._prints = {
            (work.code, option.size_code): (option.print_width_mm, option.print_height_mm)
            for work in request.works
            for option in work.options
        }

    def whole(self, work: PlannedWork | None) -> str:
        """Print size, finish and wall."""
        return f"{self.look(work)}, {self.wall(work)}" if work else ""

    def look(self, work: PlannedWork | None) -> str:
        """Print size and finish."""
        if work is None:
            return ""
        size = format_size(*self._prints[work.code, work.size_code], unit=self._unit)
        return f"{size}, {self._finishes.get(work.finish_code, work.finish_code)}"

    def wall(self, work: PlannedWork | None) -> str:
        """The wall's name."""
        return self._walls[work.placement.wall_code] if work else ""


def read_compared(
    show: Show, *, before: Plan, after: Plan, request: PlanRequest, later_request: PlanRequest | None = None
) -> ComparedPlans:
    """
    Two plans side by side; the second from `later_request`, where that is another. One query.

    Raises: KeyError when a plan was not made from its request.
    """
    names = dict(show.finishes.values_list("code", "name"))
    then = _Words(request, finishes=names, show=show)
    now = _Words(later_request or request, finishes=names, show=show)

    def rows(changes: tuple[WorkChange, ...], words: Callable[[_Words, PlannedWork | None], str]) -> Rows:
        return tuple(ComparedRow(one.title, words(then, one.before), words(now, one.after)) for one in changes)

    found = compare_plans(before, after)
    return ComparedPlans(
        comparison=found,
        gained=rows(found.gained, _Words.whole),
        lost=rows(found.lost, _Words.whole),
        changed=rows(found.changed, _Words.look),
        moved=rows(found.moved, _Words.wall),
        finishes=tuple((names.get(one.finish_code, one.finish_code), one.before, one.after) for one in found.finishes),
    )


def compare_sums(standing: Standing, *, before_minor: int, after_minor: int) -> ComparedPlans | None:
    """The best shows for two sums of money; None before the first staircase. One query."""
    if standing.request is None or standing.staircase is None:
        return None
    before, after = (plan_at(standing.request, standing.staircase, minor) for minor in (before_minor, after_minor))
    return read_compared(standing.show, before=before, after=after, request=standing.request)
