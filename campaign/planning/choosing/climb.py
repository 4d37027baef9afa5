"""Better steps by changing one work at a time; quick, and without any claim of being the best."""

from dataclasses import dataclass

import numpy as np

from campaign.planning.arrays import BoolArray, IntArray
from campaign.planning.choosing.frontier import Guide
from campaign.planning.choosing.model import Model
from campaign.planning.choosing.selection import Listed, Steps, merge

_AT_ONCE = 20_000  # neighbours looked at together: numpy is called seldom, and its columns stay near the processor


def listed(model: Model, choices: IntArray) -> Listed:
    """Those of the choices (N, n) that keep every limit and rule but hanging, costed."""
    costs, worths, kept = model.costs_of(choices)
    kept &= keeps_stages(model, choices)
    return Listed(costs, worths, model.marks_of(choices), choices).take(np.flatnonzero(kept))


def keeps_stages(model: Model, choices: IntArray) -> BoolArray:
    """Whether what must hang hangs, and every series is in one finish."""
    works = np.arange(len(model.groups))
    kept = model.offer(0, (-1,) * len(model.stages)).options[works, choices].all(axis=1)
    for stage in model.stages:
        if len(stage) > 1:
            members = np.array(stage[0].members)
            finishes = np.bitwise_or.reduce(model.tables.marks[members, choices[:, members]], axis=1)
            kept &= np.bitwise_count(finishes) <= 1
    return np.asarray(kept)


def trim(model: Model, choices: IntArray) -> IntArray:
    """
    The same choices (N, n) with works taken down until walls, printer and shelves have room.

    What goes first is what is worth least for what it takes of the limit that is exceeded most.
    """
    limited = [c for c, resource in enumerate(model.rules.resources) if resource.capacity is not None]
    if not limited or not len(choices):
        return choices
    limits = np.array([model.rules.resources[column].capacity for column in limited], dtype=np.int64)
    free = np.array([model.may_rest(i) for i in range(len(model.groups))])
    choices = choices.copy()
    for _ in range(len(model.groups)):
        takes = np.stack([group.uses[choices[:, i]][:, limited] for i, group in enumerate(model.groups)], axis=1)
        over = (takes.sum(axis=1) - limits) / np.maximum(limits, 1)
        rows = np.flatnonzero((over > 0).any(axis=1))
        if not len(rows):
            break
        worst = over[rows].argmax(axis=1)
        taken = takes[rows, :, worst]
        worths = np.stack([group.worths[choices[rows, i]] for i, group in enumerate(model.groups)], axis=1)
        rate = np.where((taken > 0) & free, worths / np.maximum(taken, 1), np.inf)
        going = rate.argmin(axis=1)
        possible = np.isfinite(rate[np.arange(len(rows)), going])
        for row, work in zip(rows[possible].tolist(), going[possible].tolist(), strict=True):
            choices[row, work] = len(model.groups[work].costs) - 1
        if not possible.any():
            break
    return choices


def climb(
    model: Model,
    steps: Steps,
    *,
    guide: Guide,
    doubts: list[tuple[int, int]],
    rounds: int,
    start: IntArray | None = None,
) -> Steps:
    """
    Steps that no change of one work improves any more, or the better ones after so many rounds.

    Parameters: start, choices (N, n) to change first, instead of the steps; they need not hang.
    Notes: only what the last round found is changed in the next.
    """
    begin = steps.choices if start is None else start
    for _ in range(rounds):
        begin = begin[keeps_stages(model, begin)]
        if not len(begin):
            break
        found = _neighbours(model, begin, steps=steps)
        before = {tuple(row) for row in steps.choices.tolist()}
        steps = merge(steps, found, accept=guide.accept, doubts=doubts)
        begin = steps.choices[[tuple(row) not in before for row in steps.choices.tolist()]]
    return steps


def _neighbours(model: Model, start: IntArray, *, steps: Steps) -> "_Changed":
    """
    The choices one work away that keep all but hanging, and would be worth more than the known step at their cost.

    Parameters: start, choices (N, n) that keep their stages.
    """
    rest = _Rest.of(model, start)
    works, picks = np.nonzero(model.offer(0, (-1,) * len(model.stages)).options)
    at_once = max(1, _AT_ONCE // max(len(start), 1))
    found = [
        _better(model, rest, steps=steps, works=works[first : first + at_once], picks=picks[first : first + at_once])
        for first in range(0, len(works), at_once)
    ]
    columns = np.concatenate([np.zeros((6, 0), dtype=np.int64), *found], axis=1)
    return _Changed(start, *columns)


@dataclass(frozen=True, slots=True)
class _Changed:
    """N choices that are each the one in this row of `start`, but for the option taken of one work."""

    start: IntArray
    costs: IntArray
    worths: IntArray
    marks: IntArray
    rows: IntArray
    works: IntArray
    options: IntArray

    def take(self, index: IntArray) -> "_Changed":
        """Those at these places."""
        columns = (self.costs, self.worths, self.marks, self.rows, self.works, self.options)
        return _Changed(self.start, *(column[index] for column in columns))

    def choices(self) -> IntArray:
        """Option indices (N, n)."""
        choices = self.start[self.rows]
        choices[np.arange(len(choices)), self.works] = self.options
        return choices


@dataclass(frozen=True, slots=True)
class _Rest:
    """Of choices (N, n), for every work what all the others together cost, are worth, use (m, N, n) and are marked."""

    costs: IntArray
    worths: IntArray
    uses: IntArray
    marks: IntArray
    mates: dict[int, IntArray]

    @classmethod
    def of(cls, model: Model, start: IntArray) -> "_Rest":
        tables, works = model.tables, np.arange(len(model.groups))
        costs, worths, marks = (of[works, start] for of in (tables.costs, tables.worths, tables.marks))
        uses = np.moveaxis(tables.uses, 2, 0)[:, works, start]
        by_work = list(marks.T)
        return cls(
            costs=costs.sum(axis=1, keepdims=True) - costs,
            worths=worths.sum(axis=1, keepdims=True) - worths,
            uses=uses.sum(axis=2, keepdims=True) - uses,
            marks=np.column_stack(_others(by_work)),
            mates=_mates(model, by_work),
        )


def _better(model: Model, rest: _Rest, *, steps: Steps, works: IntArray, picks: IntArray) -> IntArray:
    """
    Cost, worth, marks, row, work and pick (6, K) of what is worth more than the step at its cost, walls aside.

    Parameters: works, picks (P,), which work is changed to which of its options; all of them in every row.
    """
    tables, rules = model.tables, model.rules
    marked = rest.marks[:, works] | tables.marks[works, picks]
    good = rules.allows(marked)
    for place, work in enumerate(works.tolist()):
        if work in rest.mates:
            good[:, place] &= np.bitwise_count(rest.mates[work] | tables.marks[work, picks[place]]) <= 1
    uses = rest.uses[:, :, works] + tables.uses[works, picks].T[:, None]
    for used, resource in zip(uses, rules.resources, strict=True):
        if resource.capacity is not None:
            good &= used <= resource.capacity
    own = rest.costs[:, works] + tables.costs[works, picks]
    worths = rest.worths[:, works] + tables.worths[works, picks]
    costs = rules.costs(own.ravel(), uses=uses.reshape(len(uses), own.size).T, marks=marked.ravel()).reshape(own.shape)
    good &= worths > steps.worth_at(costs)
    rows, at = np.nonzero(good)
    return np.stack([costs[good], worths[good], marked[good], rows, works[at], picks[at]])


def _mates(model: Model, marks: list[IntArray]) -> dict[int, IntArray]:
    """For every work of a series that shares a finish, the marks of the others of its series together."""
    series = [stage[0].members for stage in model.stages if len(stage) > 1]
    return {
        i: other for members in series for i, other in zip(members, _others([marks[i] for i in members]), strict=True)
    }


def _others(marks: list[IntArray]) -> list[IntArray]:
    """For every work the marks of all the others together."""
    before = [np.zeros_like(marks[0])]
    for mark in marks[:-1]:
        before.append(before[-1] | mark)
    after = np.zeros_like(marks[0])
    others = []
    for mark, earlier in zip(reversed(marks), reversed(before), strict=True):
        others.append(earlier | after)
        after = after | mark
    return others[::-1]
