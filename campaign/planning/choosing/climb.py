"""Better steps by changing one work at a time; quick, and without any claim of being the best."""

import numpy as np

from campaign.planning.arrays import IntArray
from campaign.planning.choosing.frontier import Guide
from campaign.planning.choosing.labels import BoolArray
from campaign.planning.choosing.model import Model
from campaign.planning.choosing.selection import Listed, Steps, merge


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
        found = listed(model, _neighbours(model, begin, steps=steps))
        before = {tuple(row) for row in steps.choices.tolist()}
        steps = merge(steps, found, accept=guide.accept, doubts=doubts)
        begin = steps.choices[[tuple(row) not in before for row in steps.choices.tolist()]]
    return steps


def _neighbours(model: Model, start: IntArray, *, steps: Steps) -> IntArray:
    """The choices one work away that would be worth more than the known step at their cost."""
    rules, groups = model.rules, model.groups
    own = np.sum([group.costs[start[:, i]] for i, group in enumerate(groups)], axis=0)
    worths = np.sum([group.worths[start[:, i]] for i, group in enumerate(groups)], axis=0)
    uses = np.sum([group.uses[start[:, i]] for i, group in enumerate(groups)], axis=0)
    others = _others([group.marks[start[:, i]] for i, group in enumerate(groups)])
    found = [np.zeros((0, len(groups)), dtype=np.int64)]
    for i, group in enumerate(groups):
        rows = np.repeat(np.arange(len(start)), len(group.costs))
        picks = np.tile(np.arange(len(group.costs)), len(start))
        was = start[rows, i]
        costs = rules.costs(
            own[rows] - group.costs[was] + group.costs[picks],
            uses=uses[rows] - group.uses[was] + group.uses[picks],
            marks=others[i][rows] | group.marks[picks],
        )
        better = np.flatnonzero(worths[rows] - group.worths[was] + group.worths[picks] > steps.worth_at(costs))
        choices = start[rows[better]]
        choices[:, i] = picks[better]
        found.append(choices)
    return np.concatenate(found)


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
