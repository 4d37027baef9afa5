"""Hooks, weights and cautions of hung works."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.planning import BlockedArea, Placement
from campaign.planning.placing.hooks import (
    METRIC_RULE,
    Hanging,
    Hook,
    HookRules,
    Topic,
    count_hooks,
    find_cautions,
    place_hooks,
)
from tests.plain_shows import wall

RULES = HookRules(two_from_mm=400, two_from_g=4500)
DOOR = BlockedArea("Door to the yard", 4000, 0, 900, 2050)


def hung(*, x_mm=1000, y_mm=1250, width_mm=300, height_mm=400, mass_g=900, title="Low water", **changes):
    place = Placement("k", "north", x_mm, y_mm, width_mm, height_mm)
    return Hanging(title=title, place=place, mass_g=mass_g, **changes)


def found(*works, rules=RULES, blocked=()):
    return find_cautions(works, wall=wall(blocked=blocked), rules=rules, access=METRIC_RULE)


def test_small_light_work_hangs_from_one_hook_in_its_middle():
    assert place_hooks(hung(drop_mm=70), rules=RULES) == (Hook(1150, 1580),)


def test_two_hooks_are_a_quarter_in_from_each_side():
    assert place_hooks(hung(width_mm=601, drop_mm=70), rules=RULES) == (Hook(1150, 1580), Hook(1451, 1580))


@pytest.mark.parametrize(
    ("changes", "hooks"),
    [({"width_mm": 399}, 1), ({"width_mm": 400}, 2), ({"mass_g": 4499}, 1), ({"mass_g": 4500}, 2)],
)
def test_two_hooks_from_the_shows_own_limits_on(changes, hooks):
    assert count_hooks(hung(**changes), rules=RULES) == hooks


@given(st.integers(1, 3000), st.integers(1, 3000), st.integers(0, 500))
def test_hooks_bear_inside_the_work_and_evenly(width, x, drop):
    hooks = place_hooks(hung(x_mm=x, width_mm=width, drop_mm=drop), rules=RULES)
    assert all(x <= hook.x_mm <= x + width for hook in hooks)
    middle_twice = 2 * sum(hook.x_mm for hook in hooks) / len(hooks)
    assert abs(middle_twice - (2 * x + width)) <= 1
    assert {hook.height_mm for hook in hooks} == {1650 - drop}


def test_light_works_at_eye_height_need_no_caution():
    assert found(hung(), blocked=[BlockedArea("window", 0, 1000, 900, 900)]) == ()


@pytest.mark.parametrize(
    ("changes", "topic", "figure", "limit"),
    [
        ({"mass_g": 5_001}, Topic.LOAD, 5_001, 5_000),
        ({"is_glazed": True, "width_mm": 801, "height_mm": 601}, Topic.GLASS, 801, 800),
        ({"depth_mm": 101}, Topic.PROTRUSION, 101, 100),
        ({"y_mm": 1_601}, Topic.LADDER, 2_001, 2_000),
    ],
)
def test_figure_above_its_limit_brings_its_caution_with_both(changes, topic, figure, limit):
    (caution,) = found(hung(**changes))
    assert (caution.topic, caution.titles, caution.found, caution.limit) == (topic, ("Low water",), figure, limit)


@pytest.mark.parametrize(
    "changes",
    [
        {"mass_g": 5_000},
        {"y_mm": 1_600},
        {"depth_mm": 100},
        {"depth_mm": 400, "y_mm": 685},
        {"is_glazed": True, "width_mm": 800, "height_mm": 601},
        {"is_glazed": True, "width_mm": 2_000, "height_mm": 600},
        {"width_mm": 2_000, "height_mm": 700},
    ],
)
def test_figure_at_its_limit_brings_none(changes):
    assert found(hung(**changes)) == ()


def test_very_heavy_work_is_lifted_by_two_and_loads_the_wall():
    assert [caution.topic for caution in found(hung(mass_g=15_001))] == [Topic.LIFTING, Topic.LOAD]


def test_hooks_rated_below_the_margin_are_named_with_the_worst():
    rules = HookRules(400, 4500, rating_g=4_000, margin=4)
    (caution,) = found(hung(mass_g=1_001), hung(title="Reed", mass_g=1_200), hung(mass_g=1_000), rules=rules)
    assert caution.topic is Topic.HOOKS
    assert (caution.titles, caution.found, caution.limit) == (("Low water", "Reed"), 4_800, 4_000)
    assert found(hung(mass_g=2_000, width_mm=400), rules=rules) == ()


def test_rating_that_is_not_known_brings_no_caution_on_hooks():
    assert found(hung(mass_g=4_999)) == ()


@pytest.mark.parametrize(("x_mm", "is_near"), [(4000 - 300 - 914, True), (4000 - 300 - 915, False), (4100, True)])
def test_work_nearer_to_a_door_than_a_path_is_wide(x_mm, is_near):
    topics = [caution.topic for caution in found(hung(x_mm=x_mm), blocked=[DOOR])]
    assert topics == ([Topic.EXIT] if is_near else [])


@given(st.integers(0, 40_000), st.integers(0, 40_000))
def test_heavier_work_never_has_fewer_cautions(one_g, other_g):
    lighter, heavier = sorted((one_g, other_g))
    rules = HookRules(400, 60_000, rating_g=9_000)
    assert len(found(hung(mass_g=lighter), rules=rules)) <= len(found(hung(mass_g=heavier), rules=rules))
