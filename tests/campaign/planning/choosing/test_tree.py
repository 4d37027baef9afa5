"""Cells, tolls and the tree over them: bounds that hold, whatever the effort; answers that do not depend on luck."""

from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from campaign.planning import Option, Pin, PlanRequest, WallSpec, WorkOptions, build_staircase, quick_staircase
from campaign.planning.choosing.cells import Cell
from campaign.planning.choosing.effort import LARGE, SMALL
from campaign.planning.choosing.field import Field
from campaign.planning.choosing.frontier import Guide
from campaign.planning.choosing.model import Model
from campaign.planning.choosing.selection import Steps
from campaign.planning.choosing.tolls import Relaxation, prices_of
from campaign.planning.choosing.tree import Tree
from campaign.planning.costing.curves import PackCurve
from tests.bench.whole_shows import whole_show
from tests.campaign.planning.exhaustive import staircase_by_trying
from tests.small_shows import SWITCHES, small_show

seeds = st.integers(0, 2**40)
quiet = settings(max_examples=40, deadline=None)
BOUGHT = {"packs", "price steps", "shelf", "set-up", "least charge", "series", "most finishes"}


def _model(request_):
    return Model.of(Field.of(request_))


def _nothing(model):
    zero = np.zeros(1, dtype=np.int64)
    picks = np.array([[len(group.costs) - 1 for group in model.groups]], dtype=np.int64)
    return Steps(zero, zero, zero, picks)


def _grown(model, effort):
    tree = Tree(model, groups=model.groups, guide=Guide(), effort=effort, known=_nothing(model))
    tree.grow()
    return tree


def _all_choices(model):
    grids = np.meshgrid(*(np.arange(len(group.costs)) for group in model.groups), indexing="ij")
    return np.stack([grid.ravel() for grid in grids], axis=1)


def _kept(model):
    """Every choice that keeps the limits, with its cost and worth; series and walls are not looked at."""
    choices = _all_choices(model)
    costs, worths, kept = model.costs_of(choices)
    return choices[kept], costs[kept], worths[kept]


@quiet
@given(seeds)
def test_lines_of_the_whole_bound_every_choice_at_every_budget(seed):
    request_ = small_show(seed, on=BOUGHT - {"series"}, most_works=4)
    if Field.of(request_).is_hopeless:
        return
    model = _model(request_)
    cell = Cell.whole(model)
    if cell.offer.is_empty:
        return
    relaxation = Relaxation(model)
    prices, _, _ = prices_of(relaxation, cell, relaxation.settle(cell, budgets=np.linspace(0, 5000, 7)))
    _, costs, worths = _kept(model)
    costs, worths = costs[worths > 0], worths[worths > 0]
    for money, peak in zip(prices.money, prices.peaks, strict=True):
        assert (worths <= peak + money * costs + 1e-3).all()


@quiet
@given(seeds, st.data())
def test_lines_of_a_part_bound_the_choices_in_it(seed, data):
    request_ = small_show(seed, on={"packs", "price steps", "shelf"}, most_works=4)
    if Field.of(request_).is_hopeless:
        return
    model = _model(request_)
    columns = [c for c, one in enumerate(model.rules.resources) if isinstance(one.curve, PackCurve)]
    columns = [c for c in columns if len(model.rules.resources[c].curve.costs) > 1]
    if not columns:
        return
    column = data.draw(st.sampled_from(columns))
    curve = model.rules.resources[column].curve
    at = data.draw(st.integers(0, len(curve.costs) - 2))
    choices, costs, worths = _kept(model)
    used = np.sum([group.uses[choices[:, i], column] for i, group in enumerate(model.groups)], axis=0)
    relaxation = Relaxation(model)
    low, high = Cell.whole(model).split(column, at=at)
    for cell, inside in ((low, used <= curve.reach[at]), (high, used > curve.reach[at])):
        prices, _, _ = prices_of(relaxation, cell, relaxation.settle(cell, budgets=np.linspace(0, 3000, 5)))
        for money, peak in zip(prices.money, prices.peaks, strict=True):
            some = inside & (worths > 0)
            assert (worths[some] <= peak + money * costs[some] + 1e-3).all()


@quiet
@given(seeds, st.sampled_from([0, 500, 3000]))
def test_little_effort_gives_bounds_that_hold(seed, labels):
    request_ = small_show(seed, on=BOUGHT, most_works=5)
    if Field.of(request_).is_hopeless:
        return
    model = _model(request_)
    full, short = _grown(model, SMALL), _grown(model, replace(LARGE, labels=labels, label_limit=8, pair_limit=20))
    for cost, worth in zip(full.steps.costs.tolist(), full.steps.worths.tolist(), strict=True):
        at = int(np.searchsorted(short.steps.costs, cost, side="right")) - 1
        assert short.steps.worths[at] <= worth <= short.bounds()[at]


@settings(max_examples=60, deadline=None)
@given(seeds)
def test_quick_answer_is_feasible_and_its_bound_holds(seed):
    request_ = small_show(seed, on=set(Random(seed).sample(SWITCHES, 4)))
    quick = quick_staircase(request_)
    for money, worth, _ in staircase_by_trying(request_):
        step = quick.at(money)
        assert step.money_minor <= money
        assert step.worth <= worth <= step.bound_worth


@pytest.fixture(scope="module")
def whole():
    return whole_show(works=22, seed=5)


@pytest.mark.parametrize("build", [build_staircase, quick_staircase])
def test_same_request_gives_the_same_bytes(whole, build):
    assert repr(build(whole)) == repr(build(whole))


def test_quick_and_exact_do_not_contradict_each_other(whole):
    quick, exact = quick_staircase(whole), build_staircase(whole)
    for step in exact.steps:
        assert step.worth <= quick.at(step.money_minor).bound_worth
    for step in quick.steps:
        assert step.worth <= exact.at(step.money_minor).bound_worth


def test_more_finishes_may_be_used_never_gives_a_worse_show():
    for seed in range(12):
        request_ = small_show(seed, on={"most finishes", "set-up", "packs"})
        before, after = build_staircase(request_), build_staircase(replace(request_, most_finishes=3))
        assert all(after.at(step.money_minor).worth >= step.worth for step in before.steps)


@pytest.mark.parametrize("build", [build_staircase, quick_staircase])
def test_a_free_work_that_must_hang_and_never_can_leaves_nothing(build):
    option = Option("k1", "s", "f", 200, 900, 200, 900, 0, (), 0, 0, 20)
    work = WorkOptions("k1", "K1", (option,), must_hang=True, pin=Pin("w0", 650))
    low = WallSpec("w0", "W0", 1000, 2600, 1450, 0, rows=2, row_height_mm=300)
    high = WallSpec("w1", "W1", 1000, 2600, 1450, 0)
    staircase = build(PlanRequest((work,), (low, high), show_cost_minor=0, min_gap_mm=0, printer_seconds=0))
    assert [(step.money_minor, step.worth) for step in staircase.steps] == [(0, 0)]
