"""Two plans side by side: what one gains and loses against the other; they may come from different requests."""

from collections import Counter
from dataclasses import dataclass

from campaign.planning.results import Plan, PlannedWork


@dataclass(frozen=True, slots=True)
class WorkChange:
    """One work that does not hang alike in both plans; None where it does not hang."""

    code: str
    title: str
    before: PlannedWork | None
    after: PlannedWork | None
    is_resized: bool = False
    is_refinished: bool = False
    is_moved: bool = False  # to another wall


@dataclass(frozen=True, slots=True)
class FinishCount:
    """How many works hang in one finish, before and after."""

    finish_code: str
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class Comparison:
    """
    What the second plan has that the first has not, and the other way round; works in the order of the plans.

    `changed` are works that hang in both in another size or finish, `moved` those that only change their wall.
    `finishes` counts every finish of either plan, the most used first. Masses are of all works, grams.
    """

    before: Plan
    after: Plan
    gained: tuple[WorkChange, ...]
    lost: tuple[WorkChange, ...]
    changed: tuple[WorkChange, ...]
    moved: tuple[WorkChange, ...]
    finishes: tuple[FinishCount, ...]
    before_mass_g: int
    after_mass_g: int

    @property
    def is_same(self) -> bool:
        """Whether the same works hang in the same sizes and finishes."""
        return not (self.gained or self.lost or self.changed)


def compare_plans(before: Plan, after: Plan) -> Comparison:
    """
    Set two plans of one show side by side.

    Notes: swapping the two swaps gained and lost. A work is the same work where its code is.
    """
    then, now = ({work.code: work for work in plan.works} for plan in (before, after))
    both = [_change(work, later=now[code]) for code, work in then.items() if code in now]
    return Comparison(
        before=before,
        after=after,
        gained=tuple(WorkChange(code, work.title, None, work) for code, work in now.items() if code not in then),
        lost=tuple(WorkChange(code, work.title, work, None) for code, work in then.items() if code not in now),
        changed=tuple(one for one in both if one.is_resized or one.is_refinished),
        moved=tuple(one for one in both if one.is_moved and not (one.is_resized or one.is_refinished)),
        finishes=_finishes(before, after),
        before_mass_g=sum(work.mass_g for work in before.works),
        after_mass_g=sum(work.mass_g for work in after.works),
    )


def _change(work: PlannedWork, *, later: PlannedWork) -> WorkChange:
    return WorkChange(
        code=work.code,
        title=later.title,
        before=work,
        after=later,
        is_resized=work.size_code != later.size_code,
        is_refinished=work.finish_code != later.finish_code,
        is_moved=work.placement.wall_code != later.placement.wall_code,
    )


def _finishes(before: Plan, after: Plan) -> tuple[FinishCount, ...]:
    then, now = (Counter(work.finish_code for work in plan.works) for plan in (before, after))
    codes = sorted({*then, *now}, key=lambda code: (-(then[code] + now[code]), code))
    return tuple(FinishCount(code, then[code], now[code]) for code in codes)
