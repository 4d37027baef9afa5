"""Known shows in a changed request: never worse than either, never better than the best."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from campaign.planning import Staircase, Step, build_staircase, plan_at, quick_staircase, verify_plan
from campaign.planning.choosing.carry import carry_over, quick_after
from campaign.planning.choosing.field import Field
from tests.bench.whole_shows import whole_show
from tests.campaign.planning.exhaustive import staircase_by_trying
from tests.plain_shows import option, show, wall
from tests.small_shows import SWITCHES, small_show
from tests.strategies import requests


def build(request):
    steps = tuple(Step(money, worth, tuple(choice), worth) for money, worth, choice in staircase_by_trying(request))
    return Staircase(steps=steps)


def nothing(request, *, bound):
    return Staircase(steps=(Step(0, 0, (-1,) * len(request.works), bound),))


def changed(request, *, dearer, worthier, longer_mm):
    """Every option dearer and worth more or less, every wall longer or shorter, options in another order."""

    def turn(options):
        turned = tuple(
            replace(one, cost_minor=one.cost_minor + dearer, worth=max(0, one.worth + worthier)) for one in options
        )
        return turned[::-1]

    works = tuple(replace(work, options=turn(work.options)) for work in request.works)
    walls = tuple(replace(one, width_mm=max(300, one.width_mm + longer_mm)) for one in request.walls)
    return replace(request, works=works, walls=walls)


@settings(max_examples=80)
@given(st.data())
def test_what_is_carried_over_is_feasible_and_between_known_and_best(data):
    known = data.draw(requests(most_works=4, most_options=2, tight=data.draw(st.booleans())))
    into = changed(
        known,
        dearer=data.draw(st.integers(0, 200)),
        worthier=data.draw(st.integers(-20, 20)),
        longer_mm=data.draw(st.sampled_from([-300, 0, 300])),
    )
    best = build(into)
    bound = best.steps[-1].worth
    carried = carry_over(build(known), known=known, into=into, found=nothing(into, bound=bound))
    assert [step.worth for step in carried.steps] == sorted({step.worth for step in carried.steps})
    for step in carried.steps:
        assert step.worth <= best.at(step.money_minor).worth <= step.bound_worth
        if step.money_minor:
            plan = plan_at(into, carried, step.money_minor)
            assert verify_plan(into, plan) == ()


@settings(max_examples=40)
@given(st.data())
def test_nothing_changed_and_nothing_found_gives_the_known_staircase(data):
    known = data.draw(requests(most_works=4, most_options=2))
    staircase = build(known)
    again = carry_over(staircase, known=known, into=known, found=nothing(known, bound=10**6))
    assert [(step.money_minor, step.worth) for step in again.steps] == [
        (step.money_minor, step.worth) for step in staircase.steps
    ]


def test_what_was_found_wins_where_it_is_better_and_keeps_its_bounds():
    known = show({"a": [option(work_code="a", cost_minor=100, worth=10)]}, walls=(wall(width_mm=2000),))
    into = show(
        {
            "a": [option(work_code="a", cost_minor=150, worth=10)],
            "b": [option(work_code="b", cost_minor=100, worth=30)],
        },
        walls=(wall(width_mm=2000),),
    )
    found = Staircase(steps=(Step(0, 0, (-1, -1), 0), Step(200, 30, (-1, 0), 40)))
    both = carry_over(build(known), known=known, into=into, found=found)
    assert [(s.money_minor, s.worth, s.bound_worth) for s in both.steps] == [(0, 0, 0), (150, 10, 10), (200, 30, 40)]


def test_a_show_whose_option_is_gone_is_left_out():
    options = [option(work_code="a", cost_minor=100, worth=10), option(work_code="a", cost_minor=90, worth=5, size="t")]
    known, into = show({"a": options}), show({"a": options[1:]})
    carried = carry_over(build(known), known=known, into=into, found=nothing(into, bound=10))
    assert [step.worth for step in carried.steps] == [0, 5]


def test_only_some_steps_are_looked_at_where_that_is_asked_for():
    works = {f"w{n}": [option(work_code=f"w{n}", cost_minor=100 + n, worth=10 + n)] for n in range(9)}
    known = show(works)
    staircase = build(known)
    assert len(staircase.steps) > 20
    found = nothing(known, bound=10**6)
    some = carry_over(staircase, known=known, into=known, found=found, most=5)
    assert len(some.steps) == 5
    assert (some.steps[0], some.steps[-1].worth) == (found.steps[0], staircase.steps[-1].worth)
    asked = staircase.steps[-3].money_minor
    more = carry_over(staircase, known=known, into=known, found=found, most=5, sums_minor=[asked])
    assert more.at(asked).worth == staircase.at(asked).worth
    assert 5 < len(more.steps) <= 8


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.sets(st.sampled_from(SWITCHES)), st.integers(0, 200), st.sampled_from([-300, 0, 300]))
def test_begun_from_known_shows_it_is_feasible_no_worse_than_they_are_and_below_what_it_says_can_be_had(
    seed, on, dearer, longer_mm
):
    known = small_show(seed, on=on)
    into = changed(known, dearer=dearer, worthier=0, longer_mm=longer_mm)
    before, best = build_staircase(known), build_staircase(into)
    soon = quick_after(before, known=known, into=into, most=1_000)
    kept = carry_over(before, known=known, into=into, found=nothing(into, bound=0))
    for step in soon.steps:
        assert not verify_plan(into, plan_at(into, soon, step.money_minor))
    for money in sorted({step.money_minor for step in (*soon.steps, *best.steps, *kept.steps)}):
        assert kept.at(money).worth <= soon.at(money).worth <= best.at(money).worth <= soon.at(money).bound_worth, money


def test_many_works_begun_from_known_shows_are_worth_no_less_by_and_large_than_begun_from_nothing():
    known = whole_show(works=18, seed=1)
    into = changed(known, dearer=90, worthier=0, longer_mm=0)
    soon, anew = quick_after(build_staircase(known), known=known, into=into, most=64), quick_staircase(into)
    sums = range(0, anew.steps[-1].money_minor, anew.steps[-1].money_minor // 40)
    assert sum(soon.at(money).worth for money in sums) > sum(anew.at(money).worth for money in sums)
    for step in soon.steps[:: len(soon.steps) // 12]:
        assert not verify_plan(into, plan_at(into, soon, step.money_minor))


def test_picks_are_choices_turned_round_and_what_cannot_be_had_is_left_out():
    beaten = option(work_code="b", cost_minor=200, worth=10)
    works = {"a": [option(work_code="a")], "b": [beaten, option(work_code="b", size="t", cost_minor=100, worth=10)]}
    field = Field.of(show(works, walls=(wall(width_mm=2000),)))
    assert field.members == ((0, (0,)), (1, (1,)))
    picks = field.picks([(0, 1), (-1, 1), (0, 0), (0, -1)])
    assert picks.tolist() == [[0, 0], [1, 0], [0, 1]]
    assert field.choices(picks).tolist() == [[0, 1], [-1, 1], [0, -1]] == [field.choice(row) for row in picks.tolist()]
    high = Field.of(show(works | {"c": [option(work_code="c", height_mm=9000)]}, walls=(wall(width_mm=2000),)))
    assert high.picks([(0, 1, 0), (0, 1, -1)]).tolist() == [[0, 0]]
    assert high.picks([]).shape == (0, 2)
