"""The staircase of a show: which works hang, in which size and finish, for every sum of money; no drawing, no prose."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from campaign.planning.assign import reachable_mm
from campaign.planning.errors import InvalidRequest
from campaign.planning.frontier import LABEL_LIMIT, Frontier, Guide, find_frontier
from campaign.planning.inputs import (
    Option,
    PlanRequest,
)
from campaign.planning.multipliers import Group, IntArray
from campaign.planning.places import HangingTest
from campaign.planning.results import Staircase, Step
from campaign.planning.selection import Steps
from campaign.planning.wall import Stretch, hanging_stretches, takes

MOST_FINISHES = 62
# The search that tests every choice for hanging grows faster; it is kept to about the time of the first one.
HANGING_LABEL_LIMIT = 12_000
HANGING_PAIR_LIMIT = 500_000


def build_staircase(request: PlanRequest, *, label_limit: int = LABEL_LIMIT) -> Staircase:
    """
    All best shows from nothing to everything.

    Parameters: label_limit, how many partial choices may be carried along; more takes longer and proves more.
    Returns: steps rising in money and worth. The first costs nothing and hangs nothing, unless works hang for free.
        Money includes the show cost once anything hangs. A step that is not proved carries its bound.
    Raises: InvalidRequest when more than 62 finishes are on offer.
    Notes: exact; no clock and no chance, so the same request gives the same bytes. Ties go to less money, then
        fewer finishes, then the earlier work, then the earlier option.
    Source: method in frontier.py; checked against published instances in tests/outside/test_knapsack.py.
    """
    field = _Field.of(request)
    if not field.members:
        return Staircase(steps=(Step(0, 0, (-1,) * len(request.works), 0),))
    frontier = _packed_frontier(field, label_limit=label_limit)
    return Staircase(steps=tuple(_steps(frontier, field=field, request=request)))


@dataclass(frozen=True, slots=True)
class _Field:
    """The options that can hang at all: per work its options' indices, and the stretches they compete for."""

    members: tuple[tuple[int, tuple[int, ...]], ...]
    request: PlanRequest
    stretches: tuple[Stretch, ...]

    @classmethod
    def of(cls, request: PlanRequest) -> "_Field":
        stretches = hanging_stretches(request)
        members = []
        for place, work in enumerate(request.works):
            usable = [
                i for i, option in enumerate(work.options) if _can_hang(option, stretches=stretches, request=request)
            ]
            kept = tuple(i for i in usable if not _is_beaten(i, usable=usable, options=work.options))
            if kept:
                members.append((place, kept))
        return cls(members=tuple(members), request=request, stretches=stretches)

    def options(self, member: int) -> list[Option]:
        """The options of one work that are in the running."""
        place, kept = self.members[member]
        return [self.request.works[place].options[i] for i in kept]

    def choice(self, picks: Sequence[int]) -> list[int]:
        """An option per work of the request, -1 where it does not hang; the last index of each group is nothing."""
        choice = [-1] * len(self.request.works)
        for (place, kept), picked in zip(self.members, picks, strict=True):
            choice[place] = kept[picked] if picked < len(kept) else -1
        return choice


def _can_hang(option: Option, *, stretches: Sequence[Stretch], request: PlanRequest) -> bool:
    return (
        option.worth > 0
        and option.printer_seconds <= request.printer_seconds
        and any(takes(stretch, option=option) for stretch in stretches)
    )


def _is_beaten(index: int, *, usable: Sequence[int], options: Sequence[Option]) -> bool:
    """Whether another option of the work is at least as good in everything, and cheaper or worth more."""
    mine = options[index]
    return any(
        other.cost_minor <= mine.cost_minor
        and other.worth >= mine.worth
        and (other.cost_minor < mine.cost_minor or other.worth > mine.worth)
        and other.width_mm <= mine.width_mm
        and other.height_mm <= mine.height_mm
        and other.printer_seconds <= mine.printer_seconds
        for other in (options[i] for i in usable if i != index)
    )


def _packed_frontier(field: _Field, *, label_limit: int) -> Frontier:
    """
    The frontier of choices that can be hung.

    First all stretches count as one long wall; what comes out bounds the truth from above. Where one of its steps
    cannot be hung, the search is repeated with hanging as a test, told what is already settled.
    """
    groups, capacities = _limits(field)
    loose = find_frontier(groups, capacities=capacities, guide=Guide(label_limit=label_limit))
    test = HangingTest(field.request)
    if len(field.stretches) == 1 and test.is_plain:
        return loose

    def hangs(choice: Sequence[int]) -> bool | None:
        return test.hangs(field.choice(choice))

    sound = np.array([hangs(choice) is True for choice in loose.choices.tolist()])
    if sound.all():
        return loose
    groups = _with_forms(groups, field=field)
    ceiling = Steps.chosen(groups, choices=loose.choices)
    # Where the first search stopped early, its bounds are the ceiling, not its choices.
    ceiling = Steps(ceiling.costs, np.maximum.accumulate(loose.bounds), ceiling.marks, ceiling.choices)
    known = Steps.chosen(groups, choices=loose.choices[sound])
    return find_frontier(
        groups,
        capacities=capacities,
        known=known,
        guide=Guide(
            accept=hangs,
            ceiling=ceiling,
            label_limit=min(label_limit, HANGING_LABEL_LIMIT),
            pair_limit=HANGING_PAIR_LIMIT,
        ),
    )


def _limits(field: _Field) -> tuple[list[Group], list[int]]:
    """Groups with the uses of every limit that can bind, and those limits; nothing is the last option of each."""
    rows = [field.options(member) for member in range(len(field.members))]
    printing = ([[option.printer_seconds for option in row] for row in rows], field.request.printer_seconds)
    limits = [*_wall_limits(field, rows=rows), printing]
    binding = [(uses, capacity) for uses, capacity in limits if sum(max(use) for use in uses) > capacity]
    codes = sorted({option.finish_code for row in rows for option in row})
    if len(codes) > MOST_FINISHES:
        raise InvalidRequest(field="finishes", found=len(codes), expected=f"{MOST_FINISHES} or fewer on offer")
    marks = {code: 1 << place for place, code in enumerate(codes)}
    groups = []
    for i, row in enumerate(rows):
        uses = np.zeros((len(row) + 1, len(binding)), dtype=np.int64)
        for column, (used, _) in enumerate(binding):
            uses[:-1, column] = used[i]
        groups.append(
            Group(
                costs=_column([option.cost_minor for option in row]),
                worths=_column([option.worth for option in row]),
                uses=uses,
                forms=np.zeros((len(row) + 1, 0), dtype=np.int64),
                marks=_column([marks[option.finish_code] for option in row]),
            )
        )
    return groups, [capacity for _, capacity in binding]


def _column(values: Sequence[int]) -> IntArray:
    return np.array([*values, 0], dtype=np.int64)


def _wall_limits(field: _Field, *, rows: Sequence[Sequence[Option]]) -> list[tuple[list[list[int]], int]]:
    """For every height that some stretches do not have, the length that taller works may take together."""
    gap = min((stretch.gap_mm for stretch in field.stretches), default=0)
    limits = []
    for floor_mm in [0, *sorted({stretch.max_height_mm for stretch in field.stretches})[:-1]]:
        uses = [[option.width_mm + gap if option.height_mm > floor_mm else 0 for option in row] for row in rows]
        capacity = 0
        for stretch in field.stretches:
            if stretch.max_height_mm > floor_mm:
                takes = [
                    option.width_mm + gap
                    for row in rows
                    for option in row
                    if floor_mm < option.height_mm <= stretch.max_height_mm
                ]
                capacity += reachable_mm(stretch.length_mm - gap, takes_mm=takes)
        limits.append((uses, capacity))
    return limits


def _with_forms(groups: Sequence[Group], *, field: _Field) -> list[Group]:
    """
    Groups that also count how many works of at least each width, per height, a choice hangs.

    A choice with no larger count anywhere can hang wherever the other hangs, so only then may it replace it.
    """
    rows = [field.options(member) for member in range(len(field.members))]
    ceilings = sorted({stretch.max_height_mm for stretch in field.stretches})
    grades = [[sum(option.height_mm > ceiling for ceiling in ceilings) for option in row] for row in rows]
    kinds = sorted(
        {
            (grade, option.width_mm)
            for row, of_row in zip(rows, grades, strict=True)
            for option, grade in zip(row, of_row, strict=True)
        }
    )
    formed = []
    for group, row, grade in zip(groups, rows, grades, strict=True):
        forms = np.zeros((len(row) + 1, len(kinds)), dtype=np.int64)
        for i, option in enumerate(row):
            forms[i] = [kind[0] == grade[i] and option.width_mm >= kind[1] for kind in kinds]
        formed.append(Group(group.costs, group.worths, group.uses, forms, group.marks))
    return formed


def _steps(frontier: Frontier, *, field: _Field, request: PlanRequest) -> list[Step]:
    """Steps of the whole show: all works, show cost added, nothing hung as the first step."""
    rows = zip(
        frontier.costs.tolist(),
        frontier.worths.tolist(),
        frontier.choices.tolist(),
        frontier.bounds.tolist(),
        strict=True,
    )
    nothing = (-1,) * len(request.works)
    steps = [Step(0, 0, nothing, 0)]
    for cost, worth, picks, bound in rows:
        if worth == 0:
            steps = [Step(0, 0, nothing, bound)]
            continue
        step = Step(cost + request.show_cost_minor, worth, tuple(field.choice(picks)), bound)
        steps = [step] if step.money_minor == 0 else [*steps, step]
    return steps
