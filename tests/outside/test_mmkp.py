"""
Source: M. S. Khan's multiple-choice multidimensional knapsack set, instance I01, as kept with COIN-OR Dip (optimum 173,
    marked as proved); the plain multiple-choice tables with the first resource alone were computed by exact dynamic
    programming in the notes on the trade.
Edition: notes §8.3 and §8.4, read 2026-11-25.
What is checked: one option per group under five limits of 25, the first limit taken as money, in the search and as a
    whole show (each group a work that must hang, each other limit a supply of which the shelf holds 25); every row of
    the table for the first resource alone, ties to the least cost; and the properties that the notes name.
Tolerance: none, whole numbers.
"""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from campaign.planning import Need, Supply, WorkOptions, build_staircase
from campaign.planning.choosing.frontier import find_frontier
from tests.plain_shows import group, option, show

pytestmark = pytest.mark.outside

I01 = """
 7:1 3 1 1 6 | 17:1 4 9 9 3 | 25:4 3 9 8 2 | 35:4 5 8 0 6 | 36:6 8 3 0 7
 9:0 0 4 4 2 | 10:0 0 1 8 7 | 10:1 1 6 0 6 | 39:9 1 2 2 4 | 44:8 7 0 8 2
15:2 0 5 5 5 | 19:2 3 2 6 2 | 20:3 1 6 4 7 | 44:6 7 5 6 9 | 50:9 5 9 2 2
 5:0 1 3 8 0 | 25:2 2 7 0 8 | 32:5 5 6 1 9 | 37:6 3 6 9 1 | 37:7 9 7 2 3
24:4 0 7 0 2 | 30:4 8 9 0 0 | 32:5 2 7 2 0 | 43:5 5 9 5 2 | 44:9 2 2 2 3
"""


def _groups(*, limits):
    groups = []
    for line in I01.strip().splitlines():
        rows = []
        for cell in line.split("|"):
            value, _, uses = cell.partition(":")
            first, *others = (int(word) for word in uses.split())
            rows.append((first, int(value), tuple(others[:limits])))
        groups.append(group(rows))
    return groups


def test_mmkp_i01_has_its_proved_optimum():
    """I01: 173 with the unique choice 3 4 1 2 3, every limit 25."""
    frontier = find_frontier(_groups(limits=4), capacities=[25] * 4)
    index = np.searchsorted(frontier.costs, 25, side="right") - 1
    assert frontier.worths[index] == frontier.bounds[index] == 173
    assert frontier.choices[index].tolist() == [3, 4, 1, 2, 3]


@pytest.mark.parametrize(
    ("budget", "value", "cost", "choice"),
    [
        (10, 114, 10, [1, 1, 1, 1, 3]),
        (15, 139, 14, [1, 1, 3, 1, 3]),
        (20, 164, 20, [3, 1, 3, 2, 3]),
        (25, 191, 25, [3, 4, 3, 1, 3]),
        (30, 203, 29, [3, 4, 3, 3, 3]),
    ],
)
def test_first_resource_alone_gives_the_table_of_best_values(budget, value, cost, choice):
    """Notes §8.4: best value, least cost and choice of I01/r1 at each budget."""
    frontier = find_frontier(_groups(limits=0), capacities=[])
    index = np.searchsorted(frontier.costs, budget, side="right") - 1
    assert (frontier.worths[index], frontier.costs[index]) == (value, cost)
    assert frontier.choices[index].tolist() == choice


def test_below_the_cheapest_selection_there_is_no_step():
    """Notes §8.4: the cheapest selection costs 7, so a budget of 5 has none."""
    frontier = find_frontier(_groups(limits=0), capacities=[])
    assert frontier.costs[0] == 7


def test_dropping_a_dominated_option_changes_nothing():
    """Notes §8.4: in group 2 the option 10:1 costs more than 10:0 for the same value."""
    whole = find_frontier(_groups(limits=0), capacities=[])
    groups = _groups(limits=0)
    kept = groups[1]
    left = [0, 1, 3, 4]
    groups[1] = group([(int(kept.costs[i]), int(kept.worths[i]), ()) for i in left])
    reduced = find_frontier(groups, capacities=[])
    assert reduced.costs.tolist() == whole.costs.tolist()
    assert reduced.worths.tolist() == whole.worths.tolist()


def _rows():
    """Per group the (value, uses) of its items."""
    return [
        [
            (int(value), [int(word) for word in uses.split()])
            for value, _, uses in (c.partition(":") for c in line.split("|"))
        ]
        for line in I01.strip().splitlines()
    ]


def _show(*, limits):
    """The instance as a show: r1 is what an option costs, the other resources lie on the shelf and are not sold."""
    supplies = tuple(Supply(f"r{number}", f"Resource {number}", "piece", 25) for number in range(2, 2 + limits))
    works = tuple(
        WorkOptions(
            code=f"g{index}",
            title=f"Group {index}",
            options=tuple(
                replace(
                    option(work_code=f"g{index}", size=f"s{place}", cost_minor=uses[0], worth=value, width_mm=100),
                    needs=tuple(Need(s.code, use) for s, use in zip(supplies, uses[1:], strict=False) if use),
                )
                for place, (value, uses) in enumerate(row)
            ),
            must_hang=True,
        )
        for index, row in enumerate(_rows())
    )
    return replace(show({}), works=works, supplies=supplies)


def test_mmkp_i01_as_a_whole_show_has_its_proved_optimum():
    """I01: 173 with the unique choice 3 4 1 2 3, every limit 25; 621 of 3125 selections are feasible."""
    step = build_staircase(_show(limits=4)).at(25)
    assert (step.worth, step.bound_worth, step.choice) == (173, 173, (3, 4, 1, 2, 3))
    feasible = [
        all(sum(uses[k] for _, uses in picked) <= 25 for k in range(5)) for picked in itertools.product(*_rows())
    ]
    assert (sum(feasible), len(feasible)) == (621, 3125)


def test_first_resource_alone_as_a_whole_show_gives_the_table():
    """Notes §8.4: nothing at 5, where the cheapest selection costs 7; 114, 139, 164, 191 and 203 at 10 to 30."""
    staircase = build_staircase(_show(limits=0))
    assert [staircase.at(budget).worth for budget in (5, 6, 10, 15, 20, 25, 30)] == [0, 0, 114, 139, 164, 191, 203]
    assert [staircase.at(budget).money_minor for budget in (10, 15, 20, 25, 30)] == [10, 14, 20, 25, 29]


def test_value_never_falls_and_lies_between_greedy_and_the_relaxed_bound():
    """Notes §8.4: non-decreasing in the budget; greedy by incremental value per cost <= optimum <= relaxed optimum."""
    staircase, last = build_staircase(_show(limits=0)), 0
    for budget in range(7, 45):
        worth = staircase.at(budget).worth
        greedy, relaxed = _greedy(_rows(), budget)
        assert last <= worth
        assert greedy <= worth <= relaxed
        last = worth


def _greedy(groups, budget):
    """Along each group's upper hull, steepest step first: what whole steps reach, and with part of the next one."""
    steps, value, cost = [], 0, 0
    for row in groups:
        hull = []
        for use, worth in sorted((uses[0], -worth) for worth, uses in row):
            if hull and -worth <= hull[-1][1]:
                continue
            while len(hull) > 1 and _slope(hull[-2], hull[-1]) <= _slope(hull[-1], (use, -worth)):
                hull.pop()
            hull.append((use, -worth))
        cost, value = cost + hull[0][0], value + hull[0][1]
        steps += [(_slope(a, b), b[0] - a[0], b[1] - a[1]) for a, b in itertools.pairwise(hull)]
    whole, is_full = value, False
    for _, more, gain in sorted(steps, reverse=True):
        if not is_full and cost + more > budget:
            value, is_full = whole + gain * (budget - cost) / more, True
        if not is_full:
            whole, cost = whole + gain, cost + more
    return whole, value if is_full else whole


def _slope(a, b):
    return (b[1] - a[1]) / (b[0] - a[0]) if b[0] > a[0] else float("inf")
