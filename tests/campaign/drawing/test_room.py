"""The walls of the public page: one scale, works in place, the next level around them."""

from dataclasses import replace
from typing import Any

import pytest

from campaign.drawing.room import PERSON_HEIGHT_MM, WIDTH_UNITS, Box, Listed, draw_room
from campaign.planning.inputs import (
    BlockedArea,
    Option,
    PlanRequest,
    WallSpec,
    WorkOptions,
)
from campaign.planning.results import Placement, Plan, PlannedWork

DOOR = BlockedArea(name="door", x_mm=2_000, y_mm=0, width_mm=900, height_mm=2_000)
NORTH = WallSpec("north", "North", 4_000, 2_500, centre_mm=1_450, end_margin_mm=0, blocked=(DOOR,))
EAST = WallSpec("east", "East", 2_000, 2_500, centre_mm=1_450, end_margin_mm=0)


def option(code: str, side_mm: int, *, print_mm: int) -> Option:
    return Option(code, f"s{side_mm}", "oak", side_mm, side_mm, print_mm, print_mm, 100, (), 10, 0, 10)


REQUEST = PlanRequest(
    works=tuple(
        WorkOptions(code, code.upper(), (option(code, 400, print_mm=300), option(code, 600, print_mm=500)))
        for code in ("a", "b", "c")
    ),
    walls=(NORTH, EAST),
    show_cost_minor=0,
    min_gap_mm=100,
    printer_seconds=0,
)
LISTED = [Listed(code, number, f"{code}.webp") for number, code in enumerate("abc", start=1)]


def hung(code: str, side_mm: int, *, x_mm: int, wall: str = "north") -> PlannedWork:
    place = Placement(code, wall, x_mm, 1_450 - side_mm // 2, side_mm, side_mm)
    return PlannedWork(code, code.upper(), f"s{side_mm}", "oak", 100, 10, 10, place)


def plan(*works: PlannedWork) -> Plan:
    return Plan(0, 0, 0, True, 0, works, None, None)


def draw(now: Plan | None, pencil: Plan | None) -> Any:
    return draw_room(REQUEST, now=now, pencil=pencil, works=LISTED)


def middle(box: Box) -> tuple[float, float]:
    return box.x + box.width / 2, box.y + box.height / 2


def test_all_walls_have_one_scale() -> None:
    north, east = draw(None, None)
    assert north.wall.width == pytest.approx(2 * east.wall.width, abs=2)
    assert north.wall.height == east.wall.height
    assert north.wall.height / north.wall.width == pytest.approx(2_500 / 4_000, rel=0.001)
    assert north.right_x < WIDTH_UNITS


def test_person_is_drawn_to_the_walls_scale_and_stands_on_the_floor() -> None:
    north = draw(None, None)[0]
    assert north.person.height / north.wall.height == pytest.approx(PERSON_HEIGHT_MM / 2_500, rel=0.01)
    assert north.person.foot_y == north.wall.foot_y
    assert north.person.x + north.person.width < north.wall.x


def test_work_hangs_with_its_middle_on_the_centre_line() -> None:
    work = draw(plan(hung("a", 400, x_mm=1_000)), None)[0].works[0]
    north = draw(None, None)[0]
    assert middle(work.frame)[1] == pytest.approx(north.lines_y[0], abs=2)
    assert work.frame.width / north.wall.width == pytest.approx(400 / 4_000, rel=0.01)
    assert (work.frame.x - north.wall.x) / north.wall.width == pytest.approx(1_000 / 4_000, rel=0.01)


def test_print_is_drawn_inside_its_frame() -> None:
    work = draw(plan(hung("a", 400, x_mm=1_000)), None)[0].works[0]
    assert middle(work.picture) == pytest.approx(middle(work.frame), abs=2)
    assert work.picture.width / work.frame.width == pytest.approx(300 / 400, rel=0.01)
    assert work.image == "a.webp" and work.number == 1 and work.pencil is None


def test_blocked_areas_keep_their_place() -> None:
    north = draw(None, None)[0]
    (name, door), *_ = north.blocked
    assert name == "door" and door.foot_y == north.wall.foot_y
    assert door.height / north.wall.height == pytest.approx(2_000 / 2_500, rel=0.01)


def test_next_level_stands_in_pencil_where_it_will_hang() -> None:
    now = plan(hung("a", 400, x_mm=1_000))
    later = plan(hung("a", 400, x_mm=500), hung("b", 400, x_mm=1_200))
    first, second = draw(now, later)[0].works
    assert first.pencil is None and first.frame is not None
    assert second.frame is None and second.pencil is not None
    assert first.frame.x < draw(now, None)[0].works[0].frame.x  # moved to make room, as the next level has it


def test_work_that_grows_is_drawn_inside_its_coming_outline() -> None:
    work = draw(plan(hung("a", 400, x_mm=1_000)), plan(hung("a", 600, x_mm=900)))[0].works[0]
    assert middle(work.frame) == pytest.approx(middle(work.pencil), abs=2)
    assert work.pencil.width > work.frame.width and work.outline == work.pencil


def test_level_that_takes_a_work_down_is_not_laid_over_the_walls() -> None:
    now = plan(hung("a", 400, x_mm=1_000))
    works = draw(now, plan(hung("b", 600, x_mm=900)))[0].works
    assert [work.code for work in works] == ["a"] and works[0].pencil is None


def test_level_that_shrinks_a_work_is_not_laid_over_the_walls() -> None:
    works = draw(plan(hung("a", 600, x_mm=1_000)), plan(hung("a", 400, x_mm=500), hung("b", 400, x_mm=1_000)))[0].works
    assert [work.code for work in works] == ["a"] and works[0].pencil is None


def test_each_work_is_on_its_own_wall_in_the_lists_order() -> None:
    north, east = draw(
        plan(hung("c", 400, x_mm=100, wall="east"), hung("b", 400, x_mm=100), hung("a", 400, x_mm=900)), None
    )
    assert [work.number for work in north.works] == [1, 2]
    assert [work.code for work in east.works] == ["c"]


def test_room_without_walls_is_no_drawing() -> None:
    assert draw_room(PlanRequest((), (), 0, 0, 0), now=None, pencil=None, works=[]) == ()


def test_numbers_of_an_upper_row_stand_over_it_and_both_lines_are_drawn() -> None:
    two = WallSpec("two", "Two", 4_000, 3_000, 1_450, 0, rows=2, row_height_mm=500, row_gap_mm=100)
    places = [Placement(code, "two", 500, 1_450, 400, 400, row) for row, code in enumerate("ab")]
    works = (PlannedWork(p.work_code, "W", "s400", "oak", 1, 1, 1, p) for p in places)
    (wall,) = draw_room(replace(REQUEST, walls=(two,)), now=plan(*works), pencil=None, works=LISTED)
    assert [work.is_upper for work in wall.works] == [True, False]
    assert len(wall.lines_y) == 2 and wall.lines_y[0] < wall.lines_y[1]
    assert not draw(plan(hung("a", 400, x_mm=1_000)), None)[0].works[0].is_upper
