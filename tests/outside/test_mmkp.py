"""
Source: M. S. Khan's multiple-choice multidimensional knapsack set, instance I01, as kept with COIN-OR Dip (optimum 173,
    marked as proved); the plain multiple-choice tables with the first resource alone were computed by exact dynamic
    programming in the notes on the trade.
Edition: notes §8.3 and §8.4, read 2026-11-25.
What is checked: one option per group under five limits of 25, the first limit taken as money; and every row of the
    table for the first resource alone, ties to the least cost.
Tolerance: none, whole numbers.
"""

import numpy as np
import pytest

from campaign.planning.frontier import find_frontier
from tests.plain_shows import group

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
