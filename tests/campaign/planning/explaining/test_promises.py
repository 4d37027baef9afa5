"""Promises of levels: judged at their own sum, and from which sum on they would hold."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.planning import Staircase, Step
from campaign.planning.explaining.promises import PromiseState, judge_promise

STAIRS = Staircase(
    steps=(
        Step(0, 0, (-1, -1, -1), 0),
        Step(100, 50, (0, -1, -1), 50),
        Step(300, 80, (0, 0, -1), 80),
        Step(400, 90, (1, -1, -1), 90),
        Step(500, 120, (1, 0, 0), 120),
    )
)


@pytest.mark.parametrize(
    ("money", "works", "worth", "state", "holds_at"),
    [
        (350, 2, 80, PromiseState.HOLDS, 500),
        (300, 2, 80, PromiseState.HOLDS, 300),
        (600, 3, 80, PromiseState.HOLDS, 500),
        (350, 3, 120, PromiseState.BROKEN, 500),
        (450, 2, 80, PromiseState.BROKEN, 500),
        (600, 3, 130, PromiseState.WEAKER, None),
        (350, 2, 85, PromiseState.WEAKER, 500),
        (350, 4, 85, PromiseState.BROKEN, None),
        (350, 0, 0, PromiseState.UNMEASURED, 400),
    ],
)
def test_a_promise_is_judged(money, works, worth, state, holds_at):
    judged = judge_promise(STAIRS, money_minor=money, promised_works=works, promised_worth=worth)
    assert (judged.state, judged.holds_at_minor) == (state, holds_at)
    assert judged.is_kept == (state in (PromiseState.HOLDS, PromiseState.UNMEASURED))


@given(st.integers(0, 600), st.integers(0, 600))
def test_what_was_measured_on_the_same_staircase_holds(measured_at, judged_at):
    step = STAIRS.at(measured_at)
    works = sum(index >= 0 for index in step.choice)
    judged = judge_promise(STAIRS, money_minor=measured_at, promised_works=works, promised_worth=step.worth)
    assert judged.is_kept
    moved = judge_promise(STAIRS, money_minor=judged_at, promised_works=works, promised_worth=step.worth)
    if moved.holds_at_minor is not None and judged_at == moved.holds_at_minor:
        assert moved.is_kept
