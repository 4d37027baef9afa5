"""The search below the staircase: any number of limits, a further test of choices, answers cut short."""

import itertools
import random

import pytest

from campaign.planning.choosing.frontier import Guide, find_frontier
from tests.plain_shows import group


def _groups(chance, *, groups, options, limits, free=True):
    """Random groups; with `free` each may also be left out."""
    made = []
    for _ in range(groups):
        rows = [
            (chance.randint(1, 60), chance.randint(1, 40), tuple(chance.randint(0, 20) for _ in range(limits)))
            for _ in range(options)
        ]
        made.append(group([*rows, (0, 0, (0,) * limits)] if free else rows))
    return made


def _by_trying(groups, *, capacities, accept=lambda choice: True):
    found = []
    for choice in itertools.product(*(range(len(one.costs)) for one in groups)):
        used = [sum(int(g.uses[i, k]) for g, i in zip(groups, choice, strict=True)) for k in range(len(capacities))]
        if all(u <= c for u, c in zip(used, capacities, strict=True)) and accept(choice):
            cost = sum(int(g.costs[i]) for g, i in zip(groups, choice, strict=True))
            worth = sum(int(g.worths[i]) for g, i in zip(groups, choice, strict=True))
            found.append((cost, -worth, choice))
    steps = []
    for cost, negative, choice in sorted(found):
        if not steps or -negative > steps[-1][1]:
            steps.append((cost, -negative, choice))
    return steps


def _as_steps(frontier):
    choices = [tuple(choice) for choice in frontier.choices.tolist()]
    return list(zip(frontier.costs.tolist(), frontier.worths.tolist(), choices, strict=True))


@pytest.mark.parametrize("limits", [0, 1, 2, 3, 5])
@pytest.mark.parametrize("seed", [1, 2])
def test_frontier_equals_trying_everything_under_any_number_of_limits(limits, seed):
    groups = _groups(random.Random(seed), groups=7, options=3, limits=limits)
    capacities = [40] * limits
    frontier = find_frontier(groups, capacities=capacities)
    assert _as_steps(frontier) == _by_trying(groups, capacities=capacities)
    assert frontier.bounds.tolist() == frontier.worths.tolist()


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_groups_that_must_be_chosen_from_have_no_empty_step(seed):
    groups = _groups(random.Random(seed), groups=6, options=4, limits=2, free=False)
    capacities = [60, 60]
    assert _as_steps(find_frontier(groups, capacities=capacities)) == _by_trying(groups, capacities=capacities)


def test_limits_that_nothing_respects_give_no_step():
    groups = [group([(1, 1, (5,))]), group([(1, 1, (6,))])]
    assert len(find_frontier(groups, capacities=[10]).costs) == 0


def test_single_group_is_its_own_staircase():
    frontier = find_frontier([group([(5, 9, ()), (3, 9, ()), (1, 2, ()), (0, 0, ())])], capacities=[])
    assert _as_steps(frontier) == [(0, 0, (3,)), (1, 2, (2,)), (3, 9, (1,))]


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_larger_searches_agree_with_a_plain_table_over_costs(seed):
    """Dynamic programming over every cost and use, which needs small numbers and no bounds."""
    chance = random.Random(seed)
    groups = _groups(chance, groups=14, options=5, limits=1)
    capacity = 90
    table = {(0, 0): 0}
    for one in groups:
        grown = {}
        for (cost, use), worth in table.items():
            for c, w, (u,) in zip(one.costs.tolist(), one.worths.tolist(), one.uses.tolist(), strict=True):
                key = (cost + c, use + u)
                if key[1] <= capacity and grown.get(key, -1) < worth + w:
                    grown[key] = worth + w
        table = grown
    best, expected = -1, []
    for (cost, _), worth in sorted(table.items(), key=lambda item: (item[0][0], -item[1])):
        if worth > best:
            best = worth
            expected.append((cost, worth))
    frontier = find_frontier(groups, capacities=[capacity])
    assert [(cost, worth) for cost, worth, _ in _as_steps(frontier)] == expected


def test_choice_that_cannot_be_decided_stays_in_the_bound():
    groups = [group([(10, 5, ()), (0, 0, ())]), group([(10, 7, ()), (0, 0, ())])]

    def accept(choice):
        return None if list(choice) == [0, 0] else True

    frontier = find_frontier(groups, capacities=[], guide=Guide(accept=accept))
    assert _as_steps(frontier) == [(0, 0, (1, 1)), (10, 7, (1, 0))]
    assert frontier.bounds.tolist() == [0, 12]


def test_refused_choices_are_replaced_by_the_next_best():
    groups = [group([(10, 5, ()), (0, 0, ())]), group([(10, 7, ()), (0, 0, ())])]

    def accept(choice):
        return list(choice) != [1, 0]

    frontier = find_frontier(groups, capacities=[], guide=Guide(accept=accept))
    assert _as_steps(frontier) == [(0, 0, (1, 1)), (10, 5, (0, 1)), (20, 12, (0, 0))]


def test_few_pairs_allowed_give_bounds_that_hold():
    groups = _groups(random.Random(5), groups=12, options=4, limits=1)
    exact = find_frontier(groups, capacities=[80])
    short = find_frontier(groups, capacities=[80], guide=Guide(pair_limit=3, label_limit=40))
    assert (short.bounds > short.worths).any()
    for cost, worth in zip(exact.costs.tolist(), exact.worths.tolist(), strict=True):
        place = int((short.costs <= cost).sum()) - 1
        assert short.worths[place] <= worth <= short.bounds[place]
