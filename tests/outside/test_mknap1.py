"""
Source: J. E. Beasley, OR-Library, file mknap1, problems 1 and 2 (C. C. Petersen, Operations Research 15, 1967).
Edition: inputs and published optima as in the notes on the trade §8.2, read 2026-11-25.
What is checked: the first constraint is money, the other nine are limits like wall and printer, in the search and as a
    whole show (each item a work, each other limit a supply on the shelf that cannot be bought); the step at the first
    right-hand side has the published optimum and items.
Tolerance: none; problem 2 is scaled by ten so that its profits are whole.
"""

from dataclasses import replace

import numpy as np
import pytest

from campaign.planning import Need, Supply, WorkOptions, build_staircase
from campaign.planning.choosing.frontier import find_frontier
from tests.plain_shows import group, option, show

pytestmark = pytest.mark.outside

FIRST = (
    (1000, 6000, 12000, 24000, 5000, 20000),
    "8 12 13 64 22 41/8 12 13 75 22 41/3 6 4 18 6 4/5 10 8 32 6 12/5 13 8 42 6 20/"
    "5 13 8 48 6 20/0 0 0 0 8 0/3 0 4 0 8 0/3 2 4 0 8 4/3 2 4 8 8 4",
    (80, 96, 20, 36, 44, 48, 10, 18, 22, 24),
    (38000, (2, 3, 6)),
)
SECOND = (
    (6001, 3105, 18000, 38500, 186, 1987, 8820, 42000, 4025, 3270),
    "20 5 100 200 2 4 60 150 80 40/20 7 130 280 2 8 110 210 100 40/60 3 50 100 4 2 20 40 6 12/"
    "60 8 70 200 4 6 40 70 16 20/60 13 70 250 4 10 60 90 20 24/60 13 70 280 4 10 70 105 22 28/"
    "5 2 20 100 2 5 10 60 0 0/45 14 80 180 6 10 40 100 20 0/55 14 80 200 6 10 50 140 30 40/"
    "65 14 80 220 6 10 50 180 30 50",
    (450, 540, 200, 360, 440, 480, 200, 360, 440, 480),
    (87061, (2, 4, 5, 8, 10)),
)


@pytest.mark.parametrize("problem", [FIRST, SECOND], ids=["problem 1", "problem 2"])
def test_published_multidimensional_optimum_is_reached(problem):
    """OR-Library mknap1: optimum 3800 with items 2, 3, 6, and 8706.1 with items 2, 4, 5, 8, 10."""
    profits, text, capacities, (value, items) = problem
    rows = np.array([[int(word) for word in row.split()] for row in text.split("/")])
    nothing = (0, 0, (0,) * (len(rows) - 1))
    groups = [group([(int(column[0]), p, column[1:]), nothing]) for p, column in zip(profits, rows.T, strict=True)]
    frontier = find_frontier(groups, capacities=capacities[1:])
    index = np.searchsorted(frontier.costs, capacities[0], side="right") - 1
    assert frontier.worths[index] == value
    assert tuple(np.flatnonzero(frontier.choices[index] == 0) + 1) == items
    assert frontier.bounds[index] == value


@pytest.mark.parametrize("problem", [FIRST, SECOND], ids=["problem 1", "problem 2"])
def test_published_multidimensional_optimum_is_a_step_of_a_whole_show(problem):
    """OR-Library mknap1: the same optima, with nine supplies of which the shelf holds the right-hand sides."""
    profits, text, capacities, (value, items) = problem
    rows = [[int(word) for word in row.split()] for row in text.split("/")]
    supplies = tuple(Supply(f"r{i}", f"Row {i}", "piece", most) for i, most in enumerate(capacities[1:], start=2))
    works = []
    for item, (cost, *uses) in enumerate(zip(*rows, strict=True), start=1):
        needs = tuple(Need(supply.code, use) for supply, use in zip(supplies, uses, strict=True) if use)
        plain = option(work_code=f"k{item}", cost_minor=cost, worth=profits[item - 1], width_mm=100)
        works.append(WorkOptions(f"k{item}", f"Item {item}", (replace(plain, needs=needs),)))
    step = build_staircase(replace(show({}), works=tuple(works), supplies=supplies)).at(capacities[0])
    assert (step.worth, step.bound_worth) == (value, value)
    assert tuple(i for i, picked in enumerate(step.choice, start=1) if picked == 0) == items
