"""The exact staircase beside the quick one: never below it at any sum, and never above what it says can be had."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from campaign.planning import build_staircase, quick_staircase
from tests.bench.whole_shows import whole_show
from tests.small_shows import SWITCHES, small_show
from tests.strategies import requests


def _stands(request_):
    """
    Both staircases compared at the money of every step of either.

    The bound of a step is for the most money that it holds for: there it is held against the other's.
    """
    exact, quick = build_staircase(request_), quick_staircase(request_)
    top = max(exact.steps[-1].money_minor, quick.steps[-1].money_minor)
    for money in sorted({step.money_minor for step in (*exact.steps, *quick.steps)}):
        best, soon, after = exact.at(money), quick.at(money), exact.next_after(money)
        assert soon.worth <= best.worth <= min(best.bound_worth, soon.bound_worth), money
        assert best.bound_worth <= quick.at(after.money_minor - 1 if after else top).bound_worth, money


@settings(max_examples=40, deadline=None)
@given(requests())
def test_where_costs_add_up(request_):
    _stands(request_)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.sets(st.sampled_from(SWITCHES)))
def test_with_any_rules(seed, on):
    _stands(small_show(seed, on=on))


@pytest.mark.parametrize("seed", range(2))
def test_of_twenty_works(seed):
    _stands(whole_show(works=20, seed=seed))


@pytest.mark.solver
@pytest.mark.timeout(1800)
@pytest.mark.parametrize("works", [30, 45, 60])
def test_of_many_works(works):
    for seed in range(3):
        _stands(whole_show(works=works, seed=seed))
