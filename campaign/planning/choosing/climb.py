"""Better steps by changing one work at a time; quick, and without any claim of being the best."""

import numpy as np

from campaign.planning.arrays import BoolArray, IntArray
from campaign.planning.choosing.frontier import Guide
from campaign.planning.choosing.model import Model
from campaign.planning.choosing.selection import Listed, Steps, merge, on_staircase


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
        found = _neighbours(model, begin, steps=steps, is_best_only=guide.accept is None)
        before = {tuple(row) for row in steps.choices.tolist()}
        steps = merge(steps, found, accept=guide.accept, doubts=doubts)
        begin = steps.choices[[tuple(row) not in before for row in steps.choices.tolist()]]
    return steps


def _neighbours(model: Model, start: IntArray, *, steps: Steps, is_best_only: bool) -> Listed:
    """
    The choices one work away that keep all but hanging, and would be worth more than the known step at their cost.

    Parameters: start, choices (N, n) that keep their stages; is_best_only, whether only those are wanted that no
        cheaper one exceeds in worth. Few are, and only what is wanted is written out.
    """
    rules, groups = model.rules, model.groups
    own = np.sum([group.costs[start[:, i]] for i, group in enumerate(groups)], axis=0)
    worths = np.sum([group.worths[start[:, i]] for i, group in enumerate(groups)], axis=0)
    uses = np.sum([group.uses[start[:, i]] for i, group in enumerate(groups)], axis=0)
    marks = [group.marks[start[:, i]] for i, group in enumerate(groups)]
    others, mates, limits = _others(marks), _mates(model, marks), model.limits
    found = [np.zeros((0, 6), dtype=np.int64)]
    for i, offered in enumerate(model.offer(0, (-1,) * len(model.stages)).options):
        group, picks = groups[i], np.flatnonzero(offered)
        rows, picks = np.repeat(np.arange(len(start)), len(picks)), np.tile(picks, len(start))
        was = start[rows, i]
        used = uses[rows] - group.uses[was] + group.uses[picks]
        marked = others[i][rows] | group.marks[picks]
        costs = rules.costs(own[rows] - group.costs[was] + group.costs[picks], uses=used, marks=marked)
        worth = worths[rows] - group.worths[was] + group.worths[picks]
        good = (worth > steps.worth_at(costs)) & (used <= limits).all(axis=1) & rules.allows(marked)
        if i in mates:
            good &= np.bitwise_count(mates[i][rows] | group.marks[picks]) <= 1
        kept = np.flatnonzero(good)
        found.append(np.column_stack([of[kept] for of in (costs, worth, marked, rows, np.full(len(rows), i), picks)]))
    costs, worth, marked, rows, works, picks = np.concatenate(found).T
    if is_best_only:
        best = on_staircase(costs, worth)
        costs, worth, marked, rows, works, picks = (of[best] for of in (costs, worth, marked, rows, works, picks))
    choices = start[rows]
    choices[np.arange(len(choices)), works] = picks
    return Listed(costs, worth, marked, choices)


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
