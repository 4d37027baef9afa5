"""Better steps by changing one work at a time; quick, and without any claim of being the best."""

import numpy as np

from campaign.planning.frontier import Guide
from campaign.planning.labels import BoolArray
from campaign.planning.model import Model
from campaign.planning.multipliers import IntArray
from campaign.planning.selection import Listed, Steps, merge


def listed(model: Model, choices: IntArray) -> Listed:
    """Those of the choices (N, n) that keep every limit and rule but hanging, costed."""
    costs, worths, kept = model.costs_of(choices)
    kept &= keeps_stages(model, choices)
    marks = np.zeros(len(choices), dtype=np.int64)
    for i, group in enumerate(model.groups):
        marks |= group.marks[choices[:, i]]
    return Listed(costs, worths, marks, choices).take(np.flatnonzero(kept))


def keeps_stages(model: Model, choices: IntArray) -> BoolArray:
    """Whether what must hang hangs, and every series is in one finish."""
    width = max(len(group.costs) for group in model.groups)
    kept = np.ones(len(choices), dtype=bool)
    allowed = np.zeros((len(model.groups), width), dtype=bool)
    for stage in model.stages:
        ways = np.zeros(len(choices), dtype=bool)
        for mode in stage:
            table = np.zeros((len(mode.members), width), dtype=bool)
            for row, picks in enumerate(mode.picks):
                table[row, picks] = True
            if len(stage) == 1:
                allowed[list(mode.members)] = table
            else:
                allowed[list(mode.members)] = True
                ways |= table[np.arange(len(table)), choices[:, mode.members]].all(axis=1)
        if len(stage) > 1:
            kept &= ways
    return kept & allowed[np.arange(len(allowed)), choices].all(axis=1)


def climb(model: Model, steps: Steps, *, guide: Guide, doubts: list[tuple[int, int]], rounds: int) -> Steps:
    """
    Steps that no change of one work improves any more, or the better ones after so many rounds.

    Only steps that the last round found are changed in the next.
    """
    fresh = np.ones(len(steps.costs), dtype=bool)
    for _ in range(rounds):
        start = steps.choices[fresh]
        start = start[keeps_stages(model, start)]
        if not len(start):
            break
        found = listed(model, _neighbours(model, start, steps=steps))
        before = {tuple(row) for row in steps.choices.tolist()}
        steps = merge(steps, found, accept=guide.accept, doubts=doubts)
        fresh = np.array([tuple(row) not in before for row in steps.choices.tolist()])
    return steps


def _neighbours(model: Model, start: IntArray, *, steps: Steps) -> IntArray:
    """The choices one work away that would be worth more than the known step at their cost."""
    rules, groups = model.rules, model.groups
    own = np.sum([group.costs[start[:, i]] for i, group in enumerate(groups)], axis=0)
    worths = np.sum([group.worths[start[:, i]] for i, group in enumerate(groups)], axis=0)
    uses = np.sum([group.uses[start[:, i]] for i, group in enumerate(groups)], axis=0)
    marks = [group.marks[start[:, i]] for i, group in enumerate(groups)]
    others = _others(marks)
    found = [np.zeros((0, len(groups)), dtype=np.int64)]
    for i, group in enumerate(groups):
        now = start[:, i]
        for pick in range(len(group.costs)):
            changed = np.flatnonzero(now != pick)
            was = now[changed]
            costs = rules.costs(
                own[changed] - group.costs[was] + group.costs[pick],
                uses=uses[changed] - group.uses[was] + group.uses[pick],
                marks=others[i][changed] | group.marks[pick],
            )
            worth = worths[changed] - group.worths[was] + group.worths[pick]
            better = changed[worth > steps.worth_at(costs)]
            if len(better):
                choices = start[better]
                choices[:, i] = pick
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
