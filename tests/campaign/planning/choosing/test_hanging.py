"""What of the walls the engine looks at: which options are worth a look, what may replace what, what to take down."""

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from campaign.planning import FinishTerms, Need, Pin, Supply, build_staircase
from campaign.planning.choosing.climb import keeps_stages, listed, trim
from campaign.planning.choosing.field import Field
from campaign.planning.choosing.forms import with_forms
from campaign.planning.choosing.hanging import Hangs
from campaign.planning.choosing.model import Model
from campaign.planning.placing.places import HangingTest
from tests.plain_shows import option, show, wall
from tests.small_shows import small_show

seeds = st.integers(0, 2**40)
WALLS = {"blocked areas", "two rows", "wall gap", "pin to a wall", "pin to a place", "apart", "together"}


def _hangs(request_, **limits):
    model = Model.of(Field.of(request_))
    return Hangs(model, HangingTest(request_), **{"tests": 1000, "searches": 1000, **limits})


def _sized(*widths_mm):
    return {f"k{i}": [option(work_code=f"k{i}", width_mm=width)] for i, width in enumerate(widths_mm)}


def test_options_that_miss_the_days_or_the_printer_are_left_out():
    request_ = show({"a": [option(work_code="a", seconds=9), option(work_code="a", size="t", cost_minor=200)]})
    assert Field.of(request_).members == ((0, (1,)),)
    slow = replace(request_.works[0], options=tuple(replace(o, lead_days=5) for o in request_.works[0].options))
    assert Field.of(replace(request_, works=(slow,), lead_days=4)).members == ()


def test_worse_option_is_left_out_unless_it_takes_less_of_something():
    dear, cheap = option(work_code="a", cost_minor=300), option(work_code="a", cost_minor=200, size="t")
    request_ = show({"a": [dear, cheap]})
    assert Field.of(request_).members == ((0, (1,)),)
    charged = replace(request_, finishes=(FinishTerms("bare", "Bare", 1),))
    other = replace(charged.works[0], options=(dear, replace(cheap, finish_code="oak")))
    assert Field.of(replace(charged, works=(other,))).members == ((0, (0, 1)),)


def test_option_that_needs_more_of_a_supply_does_not_beat_another():
    plain, needy = option(work_code="a"), option(work_code="a", cost_minor=50, size="t")
    request_ = replace(show({"a": [plain, needy]}), supplies=(Supply("glass", "Glass", "m2", price_minor=9),))
    work = replace(request_.works[0], options=(plain, replace(needy, needs=(Need("glass", 5),))))
    assert Field.of(replace(request_, works=(work,))).members == ((0, (0, 1)),)
    assert Field.of(request_).members == ((0, (1,)),)


def test_nothing_hangs_when_what_must_hang_cannot():
    works = show({"a": [option(work_code="a")], "b": [option(work_code="b", height_mm=9000)]})
    must = replace(works, works=(works.works[0], replace(works.works[1], must_hang=True)))
    assert Field.of(must).is_hopeless
    assert [step.worth for step in build_staircase(must).steps] == [0]


def test_work_worth_nothing_hangs_only_where_it_must():
    request_ = show({"a": [option(work_code="a", worth=0)], "b": [option(work_code="b")]})
    assert [place for place, _ in Field.of(request_).members] == [1]
    must = replace(request_, works=(replace(request_.works[0], must_hang=True), request_.works[1]))
    assert build_staircase(must).steps[-1].choice == (0, 0)


@settings(max_examples=60, deadline=None)
@given(seeds, st.data())
def test_choice_with_no_larger_form_hangs_wherever_the_other_does(seed, data):
    request_ = small_show(seed, on=WALLS, most_works=5)
    field = Field.of(request_)
    if not field.members:
        return
    groups = with_forms(Model.of(field).groups, field=field)
    drawn = [[data.draw(st.integers(0, len(group.costs) - 1)) for group in groups] for _ in range(2)]
    one, other = (np.sum([g.forms[p] for g, p in zip(groups, picks, strict=True)], axis=0) for picks in drawn)
    test = HangingTest(request_)
    if (one <= other).all() and test.hangs(field.choice(drawn[1])):
        assert test.hangs(field.choice(drawn[0]))


def test_what_is_taken_down_is_worth_least_for_its_width():
    request_ = show(_sized(500, 400, 300), walls=(wall(width_mm=900), wall(code="south", width_mm=500)), min_gap_mm=0)
    hangs = _hangs(request_)
    assert hangs([0, 0, 0])
    short = replace(request_, walls=(wall(width_mm=700), wall(code="south", width_mm=300)))
    assert _hangs(short).taken_down([0, 0, 0]) == [1, 0, 0]


def test_after_its_tests_nothing_is_decided_any_more():
    hangs = _hangs(show(_sized(500)), tests=1)
    assert hangs([0]) is True
    assert hangs([1]) is None


def test_pinned_work_needs_more_than_length():
    request_ = show(_sized(400, 400), walls=(wall(width_mm=1000),), min_gap_mm=50)
    pinned = replace(request_.works[0], pin=Pin("north", 500))
    hangs = _hangs(replace(request_, works=(pinned, request_.works[1])))
    assert not hangs.is_certain
    assert hangs([0, 0]) is False


@settings(max_examples=60, deadline=None)
@given(seeds)
def test_trimmed_choices_keep_every_limit_they_can(seed):
    request_ = small_show(seed, on={"printer time", "packs", "shelf"}, most_works=5)
    if Field.of(request_).is_hopeless:
        return
    model = Model.of(Field.of(request_))
    full = np.zeros((1, len(model.groups)), dtype=np.int64)
    trimmed = trim(model, full)
    assert model.costs_of(trimmed)[2].all()
    assert keeps_stages(model, trimmed).all()
    assert len(listed(model, trimmed).costs) == 1
