"""The staircase: equal to exhaustive search, monotone, independent of order, deterministic."""

import itertools
import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from campaign.planning import BlockedArea, PlanRequest, Staircase, Step, build_staircase, plan_at, verify_plan
from campaign.planning.errors import InvalidRequest
from tests.campaign.planning.exhaustive import staircase_by_trying
from tests.plain_shows import option, show, wall
from tests.strategies import requests

SLOW = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def _figures(staircase):
    return [(step.money_minor, step.worth) for step in staircase.steps]


@SLOW
@given(requests())
def test_staircase_equals_exhaustive_search_choice_by_choice(request_):
    found = build_staircase(request_)
    expected = staircase_by_trying(request_)
    assert [(step.money_minor, step.worth, step.choice) for step in found.steps] == expected
    assert all(step.proved for step in found.steps)


@SLOW
@given(requests(tight=True))
def test_staircase_equals_exhaustive_search_where_frames_must_be_packed(request_):
    found = build_staircase(request_)
    assert [(step.money_minor, step.worth, step.choice) for step in found.steps] == staircase_by_trying(request_)
    assert all(step.proved for step in found.steps)


@SLOW
@given(requests())
def test_every_step_is_a_plan_that_verifies(request_):
    staircase = build_staircase(request_)
    for step in staircase.steps:
        plan = plan_at(request_, staircase, step.money_minor)
        assert verify_plan(request_, plan) == ()


@SLOW
@given(requests(), st.randoms(use_true_random=False))
def test_order_of_works_options_and_walls_changes_no_figure(request_, shuffle):
    works = [
        type(work)(work.code, work.title, tuple(shuffle.sample(work.options, len(work.options))))
        for work in shuffle.sample(request_.works, len(request_.works))
    ]
    turned = PlanRequest(
        works=tuple(works),
        walls=tuple(shuffle.sample(request_.walls, len(request_.walls))),
        show_cost_minor=request_.show_cost_minor,
        min_gap_mm=request_.min_gap_mm,
        printer_seconds=request_.printer_seconds,
    )
    assert _figures(build_staircase(turned)) == _figures(build_staircase(request_))


@SLOW
@given(requests())
def test_more_printer_time_never_gives_a_worse_show(request_):
    more = PlanRequest(
        request_.works,
        request_.walls,
        request_.show_cost_minor,
        request_.min_gap_mm,
        request_.printer_seconds + 300,
    )
    before, after = build_staircase(request_), build_staircase(more)
    for step in before.steps:
        assert after.at(step.money_minor).worth >= step.worth


def test_money_and_worth_rise_together_and_the_same_request_gives_the_same_bytes():
    chance = random.Random(7)
    works = {
        f"k{i}": [
            option(
                work_code=f"k{i}",
                size=f"s{j}",
                cost_minor=chance.randint(800, 40_000),
                worth=chance.randint(20, 500),
                width_mm=chance.randint(300, 900),
                seconds=chance.randint(60, 900),
            )
            for j in range(4)
        ]
        for i in range(18)
    }
    request_ = show(works, walls=(wall(width_mm=3000), wall(code="south", width_mm=2500)), printer_seconds=5000)
    staircase = build_staircase(request_)
    figures = _figures(staircase)
    assert all(a < b and v < w for (a, v), (b, w) in itertools.pairwise(figures))
    assert repr(build_staircase(request_)) == repr(staircase)


def test_nothing_hangs_without_works_or_walls():
    nothing = Step(money_minor=0, worth=0, choice=(), bound_worth=0)
    assert build_staircase(show({})) == Staircase(steps=(nothing,))
    without_walls = build_staircase(show({"a": [option()]}, walls=()))
    assert without_walls.steps == (Step(0, 0, (-1,), 0),)


def test_show_cost_is_paid_once_when_anything_hangs():
    works = {"a": [option(work_code="a", cost_minor=300)], "b": [option(work_code="b", cost_minor=400)]}
    assert _figures(build_staircase(show(works, show_cost_minor=5000))) == [(0, 0), (5300, 10), (5700, 20)]


def test_free_works_hang_at_nothing():
    assert _figures(build_staircase(show({"a": [option(cost_minor=0)]}))) == [(0, 10)]
    assert _figures(build_staircase(show({"a": [option(cost_minor=0)]}, show_cost_minor=50))) == [(0, 0), (50, 10)]


def test_work_taller_than_every_stretch_never_hangs():
    assert _figures(build_staircase(show({"a": [option(height_mm=2901)]}))) == [(0, 0)]
    assert _figures(build_staircase(show({"a": [option(height_mm=2900)]}))) == [(0, 0), (100, 10)]


def test_printer_time_is_a_limit():
    works = {code: [option(work_code=code, seconds=100)] for code in "abc"}
    assert _figures(build_staircase(show(works, printer_seconds=299)))[-1] == (200, 20)
    assert _figures(build_staircase(show(works, printer_seconds=300)))[-1] == (300, 30)


def test_among_equal_shows_fewer_finishes_win_then_the_earlier_work():
    works = {
        "a": [option(work_code="a", finish="oak", size="1"), option(work_code="a", finish="bare", size="2")],
        "b": [option(work_code="b", finish="bare")],
        "c": [option(work_code="c", finish="glass")],
    }
    staircase = build_staircase(show(works))
    assert staircase.at(200).choice == (1, 0, -1)
    assert staircase.at(100).choice == (0, -1, -1)


def test_what_hangs_over_two_stretches_is_really_packed():
    works = {code: [option(work_code=code, width_mm=600)] for code in "abc"}
    walls = (wall(width_mm=1000), wall(code="south", width_mm=1000))
    small = {"d": [option(work_code="d", width_mm=400, worth=1)]}
    staircase = build_staircase(show({**works, **small}, walls=walls, min_gap_mm=0))
    assert staircase.steps[-1].worth == 21
    assert staircase.steps[-1].proved


def test_answer_cut_short_carries_its_bound():
    chance = random.Random(3)
    works = {
        f"k{i}": [
            option(
                work_code=f"k{i}",
                size=f"s{j}",
                cost_minor=chance.randint(800, 40_000),
                worth=chance.randint(200, 300),
                width_mm=chance.randint(300, 900),
            )
            for j in range(5)
        ]
        for i in range(16)
    }
    request_ = show(works, walls=(wall(width_mm=4000),))
    exact, short = build_staircase(request_), build_staircase(request_, label_limit=20)
    assert all(step.proved for step in exact.steps)
    assert not all(step.proved for step in short.steps)
    for step in short.steps:
        assert step.worth <= exact.at(step.money_minor).worth <= step.bound_worth
    for step in exact.steps:
        assert step.worth <= short.at(step.money_minor).bound_worth


def test_more_finishes_than_can_be_marked_are_refused():
    works = {f"k{i}": [option(work_code=f"k{i}", finish=f"f{i}")] for i in range(63)}
    with pytest.raises(InvalidRequest, match="finishes"):
        build_staircase(show(works))


def test_codes_must_differ_and_numbers_must_not_be_negative():
    with pytest.raises(InvalidRequest, match="walls"):
        show({}, walls=(wall(), wall()))
    with pytest.raises(InvalidRequest, match="min_gap_mm"):
        show({}, min_gap_mm=-1)


def test_height_limits_of_two_kinds_of_stretch_are_respected():
    vent = BlockedArea("vent", 1500, 1800, 1500, 300)
    works = {code: [option(work_code=code, width_mm=600, height_mm=1000)] for code in "abc"}
    low = {"d": [option(work_code="d", width_mm=600, height_mm=600, worth=3)]}
    request_ = show({**works, **low}, walls=(wall(width_mm=3000, blocked=[vent]),), min_gap_mm=50)
    staircase = build_staircase(request_)
    assert _figures(staircase)[-1] == (300, 23)
    plan = plan_at(request_, staircase, 300)
    assert verify_plan(request_, plan) == ()
    assert {work.code for work in plan.works} == {"a", "b", "d"}


def test_look_up_is_by_money_on_every_side():
    staircase = Staircase(
        steps=(Step(0, 0, (-1,), 0), Step(500, 10, (0,), 10), Step(900, 12, (1,), 13)),
    )
    assert [staircase.index_at(m) for m in (-5, 0, 499, 500, 899, 900, 10**9)] == [0, 0, 0, 1, 1, 2, 2]
    assert staircase.at(899).worth == 10
    assert staircase.next_after(500).money_minor == 900
    assert staircase.next_after(900) is None
    assert staircase.next_after(-5).money_minor == 500
    assert [step.proved for step in staircase.steps] == [True, True, False]
