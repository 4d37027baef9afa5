"""One plan read off the staircase, its places, and what the next step brings."""

import pytest

from campaign.planning import build_staircase, place_on_walls, plan_at
from campaign.planning.errors import NotPlaceable
from campaign.planning.plan import compare_choices
from tests.plain_shows import option, plan_show, show, wall

WORKS = {
    "a": [
        option(work_code="a", size="s", cost_minor=100, worth=10, width_mm=400),
        option(work_code="a", size="l", cost_minor=500, worth=25, width_mm=800),
    ],
    "b": [option(work_code="b", cost_minor=150, worth=12, width_mm=400)],
}


def test_plan_names_works_places_and_the_next_step():
    request = show(WORKS, walls=(wall(width_mm=1400),), min_gap_mm=50)
    plan = plan_show(request, 249)
    assert [work.code for work in plan.works] == ["b"]
    assert (plan.cost_minor, plan.worth, plan.proved) == (150, 12, True)
    assert (plan.next_money_minor, plan.next_adds, plan.next_added_codes) == (250, 1, ("a",))
    place = plan.works[0].placement
    assert (place.x_mm, place.y_mm, place.wall_code) == (500, 1250, "north")


def test_next_step_that_changes_a_size_adds_no_work():
    request = show(WORKS)
    plan = plan_at(request, build_staircase(request), 300)
    assert (plan.next_money_minor, plan.next_adds) == (500, 0)
    assert (plan.next_changed_codes, plan.next_removed_codes) == (("a",), ("b",))


def test_at_the_top_there_is_no_next_step():
    plan = plan_show(show(WORKS), 10**9)
    assert (plan.next_money_minor, plan.next_adds, plan.next_added_codes) == (None, None, ())


@pytest.mark.parametrize("money", [-500, 0, 99])
def test_too_little_money_hangs_nothing(money):
    plan = plan_show(show(WORKS), money)
    assert (plan.works, plan.cost_minor, plan.money_minor) == ((), 0, money)
    assert plan.next_added_codes == ("a",)


def test_works_taken_down_are_named():
    request = show(WORKS)
    assert compare_choices(request, now=(0, 0), later=(1, -1)) == ((), ("a",), ("b",))


def test_places_keep_the_order_of_the_works_on_each_wall():
    request = show({code: [option(work_code=code)] for code in "cab"}, walls=(wall(width_mm=2000),))
    places = place_on_walls(request, (0, 0, 0))
    assert [place.work_code for place in places] == ["c", "a", "b"]
    assert [place.x_mm for place in places] == sorted(place.x_mm for place in places)


def test_choice_that_does_not_fit_names_its_works():
    request = show({code: [option(work_code=code)] for code in "ab"}, walls=(wall(width_mm=800),))
    with pytest.raises(NotPlaceable) as refusal:
        place_on_walls(request, (0, 0))
    assert refusal.value.codes == ("a", "b")


def test_package_works_without_django():
    import subprocess
    import sys

    lines = "import sys, campaign.planning; sys.exit('django' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", lines], check=False).returncode == 0
