"""
The engine against a mixed-integer model of the whole definition: shows of 20 to 60 works with whole packs, price steps,
walls in rows, pins, pairs, series and a cap on finishes.

Neither side may find a show that is worth more than the other's bound; where both are proved, their worths are equal.
The plans of some twenty steps of every staircase pass the verifier.
"""

from collections import Counter
from dataclasses import replace

import pytest

from campaign.planning import build_staircase, plan_at, verify_plan
from tests.bench.full_model import make_full_model, solve_full
from tests.bench.whole_shows import whole_show
from tests.campaign.planning.exhaustive import staircase_by_trying
from tests.small_shows import SWITCHES, small_show

SIZES = (20, 24, 28, 32, 36, 40, 45, 50, 55, 60)
SHARES = (30, 55, 80)  # per cent of the money that buys everything


def _compare(request_, *, shares, time_limit_s):
    """How the two sides stand at each budget; they must not contradict each other."""
    staircase, found = build_staircase(request_), Counter()
    top = staircase.steps[-1].money_minor
    assert len(staircase.steps) > 20
    for step in staircase.steps[:: max(len(staircase.steps) // 20, 1)]:
        assert verify_plan(request_, plan_at(request_, staircase, step.money_minor)) == ()
    for share in shares:
        money = top * share // 100
        step, other = staircase.at(money), solve_full(request_, money_minor=money, time_limit_s=time_limit_s)
        assert step.worth <= other.bound, (money, step.worth, other)
        assert other.worth <= step.bound_worth, (money, step.bound_worth, other)
        found["both proved" if step.proved and other.proved else "engine" if step.proved else "neither"] += 1
        if other.proved and not step.proved:
            found["solver alone"] += 1
        found["same worth"] += step.worth == other.worth
        found["engine better"] += step.worth > other.worth
        found["solver better"] += other.worth > step.worth
    return found


def test_solver_model_agrees_with_trying_everything():
    """What the engine is measured by is itself measured: the model against every choice tried."""
    compared = 0
    for seed in range(40):
        request_ = small_show(seed, on=set(SWITCHES) - {"apart", "pin to a place"}, most_works=4)
        for money, worth, _ in staircase_by_trying(request_):
            solved = solve_full(request_, money_minor=money, time_limit_s=10)
            assert (solved.worth, solved.bound) == (worth, worth)
            compared += 1
    assert compared >= 60


def test_model_refuses_what_it_cannot_say():
    request_ = replace(small_show(3, on=set()), apart=(("k0", "k1"), ("k1", "k0")))
    with pytest.raises(ValueError, match="pairs"):
        make_full_model(request_, money_minor=0)


@pytest.mark.parametrize("seed", range(5))
def test_a_whole_show_of_twenty_works_agrees_with_the_solver(seed):
    found = _compare(whole_show(works=20, seed=100 + seed), shares=SHARES[1:2], time_limit_s=1)
    assert found["same worth"] + found["engine better"] + found["solver better"] == 1


@pytest.mark.solver
@pytest.mark.timeout(1800)
@pytest.mark.parametrize("works", SIZES)
def test_whole_shows_agree_with_the_solver(works):
    """Six shows of each size: sixty in all."""
    found = Counter()
    for seed in range(6):
        found += _compare(whole_show(works=works, seed=seed), shares=SHARES, time_limit_s=4)
    print(f"{works} works, 6 shows, {6 * len(SHARES)} budgets: {dict(sorted(found.items()))}")
    assert found["same worth"] + found["engine better"] + found["solver better"] == 6 * len(SHARES)
