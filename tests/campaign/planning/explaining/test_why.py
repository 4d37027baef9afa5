"""Why works do not hang: every change that is offered is made, and hangs the work; a smaller one does not."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from campaign.planning import BlockedArea, Pin, Staircase, Step, plan_at, verify_plan
from campaign.planning.choosing.swaps import swap_in
from campaign.planning.explaining.hangers import Kind, Rule
from campaign.planning.explaining.lacks import Lack
from campaign.planning.explaining.tries import PRINTER_GRAIN_SECONDS, WALL_GRAIN_MM
from campaign.planning.explaining.why import explain_absence, list_absences
from tests.campaign.planning.exhaustive import staircase_by_trying
from tests.plain_shows import option, show, wall
from tests.strategies import requests


def build(request):
    """The staircase by trying everything."""
    steps = tuple(Step(money, worth, tuple(choice), worth) for money, worth, choice in staircase_by_trying(request))
    return Staircase(steps=steps)


def hangs(request, code, money):
    place = [work.code for work in request.works].index(code)
    return build(request).at(money).choice[place] >= 0


def changed_work(request, code, **changes):
    works = tuple(replace(work, **changes) if work.code == code else work for work in request.works)
    return replace(request, works=works)


def with_more_worth(request, code, points):
    (work,) = [work for work in request.works if work.code == code]
    options = tuple(replace(one, worth=one.worth + points) for one in work.options)
    return changed_work(request, code, options=options)


def with_longer_wall(request, code, mm):
    walls = tuple(replace(one, width_mm=one.width_mm + mm) if one.code == code else one for one in request.walls)
    return replace(request, walls=walls)


def explain(request, code, money, **limits):
    return explain_absence(request, build(request), code=code, money_minor=money, build=build, **limits)


def of_kind(absence, kind):
    return next((change for change in absence.changes if change.kind == kind), None)


def check_money(request, code, money, change):
    assert hangs(request, code, change.total)
    assert change.total == money + change.amount
    assert not any(hangs(request, code, between) for between in (money, change.total - 1))


def check_insist(request, code, money, change):
    insisted = build(changed_work(request, code, must_hang=True)).at(money)
    assert build(request).at(money).worth - insisted.worth == change.amount
    hung = {work.code for work, picked in zip(request.works, insisted.choice, strict=True) if picked >= 0}
    assert code in hung
    assert not hung & set(change.taken_down)


def check_insist_money(request, code, money, change):
    with_it, now = build(changed_work(request, code, must_hang=True)), build(request).at(money)
    assert with_it.at(change.total).worth >= now.worth
    assert with_it.at(change.total - 1).worth < max(now.worth, 1)
    assert change.total == money + change.amount


def check_worth(request, code, money, change):
    assert hangs(with_more_worth(request, code, change.amount + 1), code, money)
    if change.amount:
        assert not hangs(with_more_worth(request, code, change.amount - 1), code, money)


def check_wall(request, code, money, change):
    assert hangs(with_longer_wall(request, change.wall_code, change.amount), code, money)
    assert not hangs(with_longer_wall(request, change.wall_code, change.amount - WALL_GRAIN_MM), code, money)


def check_printer(request, code, money, change):
    assert hangs(replace(request, printer_seconds=change.total), code, money)
    assert not hangs(replace(request, printer_seconds=change.total - PRINTER_GRAIN_SECONDS), code, money)


CHECKS = {
    Kind.MONEY: check_money,
    Kind.INSIST: check_insist,
    Kind.INSIST_MONEY: check_insist_money,
    Kind.WORTH: check_worth,
    Kind.WALL: check_wall,
    Kind.PRINTER: check_printer,
}


@settings(max_examples=60)
@given(st.data())
def test_every_change_hangs_the_work_and_a_smaller_one_does_not(data):
    request = data.draw(requests(most_works=4, most_options=2, tight=data.draw(st.booleans())))
    staircase = build(request)
    money = data.draw(st.sampled_from([step.money_minor for step in staircase.steps]))
    absences = list_absences(request, staircase, money_minor=money)
    if not absences:
        return
    code = data.draw(st.sampled_from(absences)).code
    absence = explain_absence(request, staircase, code=code, money_minor=money, build=build, most_staircases=60)
    for change in absence.changes:
        if change.kind in CHECKS:
            CHECKS[change.kind](request, code, money, change)


@settings(max_examples=60)
@given(st.data())
def test_what_lacks_something_never_hangs_and_what_lacks_nothing_could(data):
    request = data.draw(requests(most_works=3, most_options=2, tight=data.draw(st.booleans())))
    for absence in list_absences(request, build(request), money_minor=0):
        alone = replace(request, works=tuple(work for work in request.works if work.code == absence.code))
        can_hang = any(step.choice[0] >= 0 for step in build(alone).steps)
        hopeless = any(change.kind in (Kind.LACK, Kind.NO_OPTION) for change in absence.changes)
        assert can_hang != hopeless


@settings(max_examples=30)
@given(st.data())
def test_the_list_names_exactly_what_does_not_hang(data):
    request = data.draw(requests(most_works=4))
    staircase = build(request)
    money = data.draw(st.integers(0, 2000))
    step = staircase.at(money)
    missing = [work.code for work, picked in zip(request.works, step.choice, strict=True) if picked < 0]
    assert [absence.code for absence in list_absences(request, staircase, money_minor=money)] == missing


TWO = {
    "a": [option(work_code="a", cost_minor=100, worth=30, width_mm=500)],
    "b": [option(work_code="b", cost_minor=100, worth=20, width_mm=500)],
}


def test_a_full_wall_asks_for_the_length_that_is_missing():
    """Two frames of 500 and three gaps of 100 need 1300; the wall has 1135."""
    request = show(TWO, walls=(wall(width_mm=1135),))
    absence = explain(request, "b", 1000)
    change = of_kind(absence, Kind.WALL)
    assert (change.amount, change.total, change.wall_code) == (170, 1305, "north")
    insist, worth = of_kind(absence, Kind.INSIST), of_kind(absence, Kind.WORTH)
    assert (insist.amount, insist.taken_down) == (10, ("a",))
    assert (worth.amount, worth.total) == (10, 30)
    assert of_kind(absence, Kind.MONEY) is None


def test_of_two_walls_the_one_that_has_to_grow_less_is_named():
    three = TWO | {"c": [option(work_code="c", cost_minor=100, worth=10, width_mm=500)]}
    request = show(three, walls=(wall(width_mm=750), wall(code="east", width_mm=1250)))
    change = of_kind(explain(request, "c", 1000, most_staircases=30), Kind.WALL)
    assert (change.wall_code, change.amount) == ("east", 50)


def test_too_little_money_names_the_sum_and_what_insisting_takes():
    request = show(TWO)
    absence = explain(request, "b", 150)
    assert of_kind(absence, Kind.MONEY).total == 200
    assert of_kind(absence, Kind.INSIST).taken_down == ("a",)
    assert of_kind(absence, Kind.INSIST_MONEY) is None  # as much as hangs it anyway
    assert of_kind(explain(request, "b", 50), Kind.INSIST) is None
    least = of_kind(explain(request, "b", 50), Kind.INSIST_MONEY)
    assert (least.total, least.amount, least.is_least) == (100, 50, True)


def test_printing_that_others_take_is_told_in_time():
    works = {code: [replace(one, printer_seconds=600) for one in options] for code, options in TWO.items()}
    change = of_kind(explain(show(works, printer_seconds=1000), "b", 1000), Kind.PRINTER)
    assert (change.amount, change.total) == (240, 1240)


@pytest.mark.parametrize(
    ("changes", "lack", "amount"),
    [
        ({"width_mm": 900}, Lack.LENGTH, 100),
        ({"height_mm": 3000}, Lack.HEIGHT, 100),
        ({"printer_seconds": 90}, Lack.PRINTER, 90),
        ({"lead_days": 12}, Lack.LEAD, 2),
        ({"worth": 0}, Lack.WORTH, 1),
    ],
)
def test_what_can_never_hang_says_what_is_missing(changes, lack, amount):
    works = {"a": [replace(option(work_code="a"), **changes)]}
    request = replace(show(works, walls=(wall(width_mm=1000),)), lead_days=10)
    (change,) = explain(request, "a", 10**6).changes
    assert (change.kind, change.lacking.lack, change.lacking.amount) == (Kind.LACK, lack, amount)


def test_a_door_leaves_a_stretch_that_is_too_short():
    door = BlockedArea("door", 900, 0, 900, 2050)
    request = show({"a": [option(work_code="a", width_mm=800)]}, walls=(wall(width_mm=2700, blocked=[door]),))
    (change,) = explain(request, "a", 10**6).changes
    assert (change.lacking.lack, change.lacking.amount) == (Lack.LENGTH, 100)


def test_of_several_options_the_one_that_lacks_least_is_told():
    options = [option(work_code="a", width_mm=2000, seconds=60), option(work_code="a", size="t", width_mm=830)]
    (change,) = explain(show({"a": options}, walls=(wall(width_mm=1000),)), "a", 10**6).changes
    assert (change.lacking.lack, change.lacking.amount) == (Lack.LENGTH, 30)


def test_a_pin_that_leaves_no_room_says_so():
    request = changed_work(show(TWO, walls=(wall(width_mm=2000),)), "b", pin=Pin("north", 300))
    (change,) = explain(request, "b", 1000).changes
    assert (change.lacking.lack, change.lacking.amount) == (Lack.PLACE, 50)


def test_a_work_without_any_option_says_so():
    (change,) = explain(show(TWO | {"c": []}), "c", 1000).changes
    assert change.kind == Kind.NO_OPTION


def test_a_rule_that_keeps_a_work_out_is_named():
    request = changed_work(show(TWO, walls=(wall(width_mm=1000),)), "a", must_hang=True)
    assert [change.rule for change in explain(request, "b", 1000).changes if change.rule] == [Rule.MUST_HANG]
    request = replace(changed_work(show(TWO), "a", must_hang=True), apart=(("a", "b"),))
    assert [change.rule for change in explain(request, "b", 1000).changes if change.rule] == [
        Rule.PAIRS,
        Rule.MUST_HANG,
    ]


@pytest.mark.parametrize(
    ("works", "rules", "kept_out"),
    [
        ({"a": "oak", "b": "board"}, {"series_share_finish": True}, Rule.SERIES),
        ({"a": "oak", "b": "board"}, {"most_finishes": 1}, Rule.FINISHES),
    ],
)
def test_each_rule_of_finishes_is_told_from_the_others(works, rules, kept_out):
    offered = {code: [option(work_code=code, finish=finish)] for code, finish in works.items()}
    request = replace(changed_work(show(offered), "a", must_hang=True), **rules)
    request = replace(request, works=tuple(replace(work, series="tides") for work in request.works))
    found = {change.rule for change in explain(request, "b", 1000).changes if change.rule}
    assert found == {kept_out, Rule.MUST_HANG}


def test_a_set_on_one_wall_keeps_out_what_has_no_room_there():
    """The east wall takes one frame; what must hang with it finds no second place."""
    walls = (wall(width_mm=750, code="east"), wall(width_mm=750))
    request = replace(changed_work(show(TWO, walls=walls), "a", must_hang=True), together=(("a", "b"),))
    assert Rule.PAIRS in {change.rule for change in explain(request, "b", 1000).changes}


def test_a_build_that_finds_little_is_made_good_by_exchanges():
    """The quick plan for the changed request hangs nothing at all; a work is swapped for another all the same."""
    request = show(TWO, walls=(wall(width_mm=1135),))

    def build_nothing(request):
        return Staircase(steps=(Step(0, 0, (-1,) * len(request.works), 0),))

    absence = explain_absence(request, build(request), code="b", money_minor=1000, build=build_nothing)
    insist, worth = of_kind(absence, Kind.INSIST), of_kind(absence, Kind.WORTH)
    assert (insist.amount, insist.taken_down, worth.total) == (10, ("a",), 30)
    assert of_kind(absence, Kind.RULE) is None


@settings(max_examples=60)
@given(st.data())
def test_what_is_swapped_in_is_feasible_and_no_better_than_the_best(data):
    request = data.draw(requests(most_works=4, most_options=2, tight=data.draw(st.booleans())))
    staircase = build(request)
    money = data.draw(st.sampled_from([step.money_minor for step in staircase.steps]))
    for place, work in enumerate(request.works):
        if staircase.at(money).choice[place] >= 0:
            continue
        found = swap_in(request, staircase, place=place, money_minor=money)
        best = build(changed_work(request, work.code, must_hang=True)).at(money)
        if found is None:
            continue
        assert found.choice[place] >= 0
        assert found.money_minor <= money
        assert found.worth <= best.worth
        assert best.choice[place] >= 0 or found.worth == 0  # worth nothing and free: nothing hangs just as well
        plan = plan_at(request, Staircase(steps=(Step(0, 0, (-1,) * len(request.works), 0), found)), money)
        assert verify_plan(request, plan) == () or found.money_minor == 0


def test_no_more_staircases_are_built_than_allowed():
    request = show(TWO, walls=(wall(width_mm=1135),))
    assert explain(request, "b", 1000).staircases <= 14
    for most in range(2, 7):
        absence = explain(request, "b", 1000, most_staircases=most)
        assert absence.staircases <= most
        change = of_kind(absence, Kind.WALL)
        if change:
            assert hangs(with_longer_wall(request, "north", change.amount), "b", 1000)
