"""Landing places: corners of the staircase, spread over it; promises in words."""

import itertools

from hypothesis import given
from hypothesis import strategies as st

from campaign.planning import Placement, Plan, PlannedWork, Staircase, Step
from campaign.planning.explaining.landings import find_landings, upper_corners, write_promise

NAMES = {"oak": "Framed in oak", "board": "Pinned on board"}


@st.composite
def staircases(draw):
    """Steps rising in money and worth, from nothing on; now and then something hangs for free."""
    rises = draw(st.lists(st.tuples(st.integers(1, 400), st.integers(1, 300)), max_size=30))
    money, worth = 0, draw(st.sampled_from([0, 0, 40]))
    steps = [Step(money, worth, (0,), worth)]
    for more_minor, points in rises:
        money, worth = money + more_minor, worth + points
        steps.append(Step(money, worth, (0,), worth))
    return Staircase(steps=tuple(steps))


@given(staircases(), st.integers(1, 6))
def test_landings_are_few_rising_apart_and_steps_of_the_staircase(staircase, most):
    landings = find_landings(staircase, most=most)
    assert len(landings) <= most
    assert bool(landings) == (len(staircase.steps) > 1)
    known = {(step.money_minor, step.worth) for step in staircase.steps}
    for landing in landings:
        assert (landing.money_minor, landing.worth) in known
        assert landing.money_minor > 0
        assert landing.gain > 0
    for one, other in itertools.pairwise(landings):
        assert other.money_minor - one.money_minor >= one.reach_minor


@given(staircases())
def test_no_mixture_of_two_shows_beats_a_landing(staircase):
    steps = staircase.steps
    for landing in find_landings(staircase):
        for below in steps:
            for above in steps:
                if below.money_minor < landing.money_minor < above.money_minor:
                    run = above.money_minor - below.money_minor
                    mixed = below.worth * run + (above.worth - below.worth) * (landing.money_minor - below.money_minor)
                    assert landing.worth * run >= mixed


@given(staircases())
def test_corners_begin_and_end_with_the_staircase_and_flatten(staircase):
    corners = [staircase.steps[place] for place in upper_corners(staircase.steps)]
    assert corners[0] == staircase.steps[0]
    assert corners[-1] == staircase.steps[-1]
    slopes = [
        (after.worth - before.worth) / (after.money_minor - before.money_minor)
        for before, after in itertools.pairwise(corners)
    ]
    assert slopes == sorted(slopes, reverse=True)


def test_a_knee_is_found():
    """Ten points a step up to 500, then one point a step up to 1000."""
    money = range(0, 1001, 50)
    steps = [Step(m, 10 * m // 50 if m <= 500 else 100 + (m - 500) // 50, (0,) if m else (-1,), 0) for m in money]
    (landing,) = find_landings(Staircase(steps=tuple(steps)), most=1)
    assert (landing.money_minor, landing.worth, landing.works) == (500, 100, 1)
    assert (landing.reach_minor, landing.brought_worth, landing.coming_worth) == (475, 100, 9)


def test_nothing_to_land_on_where_nothing_hangs_for_money():
    assert find_landings(Staircase(steps=(Step(0, 0, (-1,), 0),))) == ()
    assert find_landings(Staircase(steps=(Step(0, 30, (0,), 30),))) == ()


def plan_of(*works):
    place = Placement("", "north", 0, 0, 400, 300)
    hung = tuple(
        PlannedWork(f"w{n}", title, "s", finish, 100, worth, 0, place) for n, (title, finish, worth) in enumerate(works)
    )
    return Plan(1000, 900, 50, True, 50, hung, None, None)


def test_a_promise_names_the_works_and_their_finish():
    plan = plan_of(("Low water", "oak", 10), ("Last ferry", "oak", 20))
    assert write_promise(plan, finish_names=NAMES) == "Two works hang, framed in oak: “Low water” and “Last ferry”."
    assert write_promise(plan_of(("Low water", "oak", 10)), finish_names=NAMES) == (
        "One work hangs, framed in oak: “Low water”."
    )


def test_a_promise_of_many_works_counts_finishes_and_names_the_dearest():
    works = [(f"Sheet {n}", "board" if n < 4 else "oak", n) for n in range(14)]
    assert write_promise(plan_of(*works), finish_names=NAMES) == (
        "14 works hang, ten framed in oak and four pinned on board: among them “Sheet 11”, “Sheet 12” and “Sheet 13”."
    )


def test_a_promise_leaves_out_what_has_no_name_and_says_when_nothing_hangs():
    assert write_promise(plan_of(("Low water", "gone", 10)), finish_names=NAMES) == "One work hangs: “Low water”."
    assert write_promise(plan_of(), finish_names=NAMES) == "Nothing hangs yet."
