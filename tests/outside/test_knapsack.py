"""
Source: J. Burkardt, KNAPSACK_01 data sets P01, P02, P04 (inputs and optimal items); H. Kellerer, U. Pferschy,
    D. Pisinger, Knapsack Problems (2004), chapter 2, running example (data from memory – check the book).
Edition: data sets as published online, notes on the trade §8.1, read 2026-11-25.
What is checked: each item is a work with one option, its weight the cost and its profit the worth; the step of the
    staircase at the capacity is the published optimum, with the published items and weight.
Tolerance: none, whole numbers.
"""

import pytest

from campaign.planning import build_staircase
from tests.plain_shows import option, show

pytestmark = pytest.mark.outside

PROBLEMS = {
    "P01": (
        165,
        (23, 31, 29, 44, 53, 38, 63, 85, 89, 82),
        (92, 57, 49, 68, 60, 43, 67, 84, 87, 72),
        (309, 165, (1, 2, 3, 4, 6)),
    ),
    "P02": (26, (12, 7, 11, 8, 9), (24, 13, 23, 15, 16), (51, 26, (2, 3, 4))),
    "P04": (190, (56, 59, 80, 64, 75, 17), (50, 50, 64, 46, 50, 5), (150, 190, (1, 2, 5))),
}


def _step(capacity, weights, profits):
    works = {
        f"k{i}": [option(work_code=f"k{i}", cost_minor=weight, worth=profit)]
        for i, (weight, profit) in enumerate(zip(weights, profits, strict=True), start=1)
    }
    return build_staircase(show(works)).at(capacity)


@pytest.mark.parametrize("name", PROBLEMS)
def test_published_knapsack_optimum_is_a_step(name):
    """Burkardt, KNAPSACK_01: optimal value, weight and items."""
    capacity, weights, profits, (value, weight, items) = PROBLEMS[name]
    step = _step(capacity, weights, profits)
    assert (step.worth, step.money_minor) == (value, weight)
    assert tuple(i for i, picked in enumerate(step.choice, start=1) if picked == 0) == items
    assert step.proved


def test_running_example_of_the_knapsack_book():
    """Kellerer, Pferschy, Pisinger, ch. 2 (from memory): capacity 9, optimum 15 with items 1 and 4."""
    step = _step(9, (2, 3, 6, 7, 5, 9, 4), (6, 5, 8, 9, 6, 7, 3))
    assert step.worth == 15
    assert tuple(i for i, picked in enumerate(step.choice, start=1) if picked == 0) == (1, 4)
