"""One wall with its dimensions."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.drawing.chains import CLEAR_UNITS, LETTER_UNITS, MOST_LEVELS, Span, draw_chain, levels_of
from campaign.drawing.elevation import MOST_HEIGHT_UNITS, HungPicture, draw_elevation, letter_of
from campaign.drawing.elevations import draw_elevations
from campaign.drawing.room import PERSON_HEIGHT_MM, WIDTH_UNITS, Listed
from campaign.planning import BlockedArea, Placement, Plan, PlannedWork, WallSpec
from campaign.planning.placing.hooks import Hook
from tests.plain_shows import option, show

DOOR = BlockedArea("door", 2_000, 0, 900, 2_000)
SWITCH = BlockedArea("switch", 3_500, 1_050, 80, 80)
NORTH = WallSpec("north", "North", 5_000, 2_800, 1_450, 100, blocked=(SWITCH, DOOR))
TWO = WallSpec("two", "Two", 4_000, 3_000, 1_450, 0, rows=2, row_height_mm=500, row_gap_mm=100)


def picture(number, *, x_mm, side_mm=400, line_mm=1_450, row=0, hooks=()):
    place = Placement(f"k{number}", "north", x_mm, line_mm - side_mm // 2, side_mm, side_mm, row)
    return HungPicture(number, f"Work {number}", place, side_mm - 100, side_mm - 100, hooks=hooks)


def figures(chain):
    return [label.text for label in chain.labels]


def test_wall_is_to_scale_and_within_the_drawing():
    wall = draw_elevation(NORTH, works=[], unit="cm")
    assert wall.wall.height / wall.wall.width == pytest.approx(2_800 / 5_000, rel=0.001)
    assert wall.person.height / wall.wall.height == pytest.approx(PERSON_HEIGHT_MM / 2_800, rel=0.01)
    assert wall.person.x + wall.person.width < wall.rise_x < wall.wall.x
    assert wall.right_x < WIDTH_UNITS and wall.wall.foot_y < wall.height


def test_high_narrow_wall_does_not_fill_the_page():
    wall = draw_elevation(WallSpec("n", "Narrow", 1_000, 4_000, 1_450, 0), works=[], unit="cm")
    assert wall.wall.height == MOST_HEIGHT_UNITS


def test_gaps_are_measured_from_end_to_end_of_the_wall():
    works = [picture(2, x_mm=3_000), picture(1, x_mm=500)]
    gaps, in_the_way, whole = draw_elevation(NORTH, works=works, unit="cm").chains
    assert figures(gaps) == ["50", "210", "160"]
    assert figures(in_the_way) == ["200", "90", "60", "8", "142"]
    assert figures(whole) == ["500"]
    assert gaps.y < in_the_way.y < whole.y


def test_figures_are_in_the_unit_of_the_show():
    wall = draw_elevation(NORTH, works=[], unit="in")
    assert figures(wall.chains[-1]) == ["196 7/8"]
    assert [line.text for line in wall.lines] == ["57 1/16"]
    assert wall.rise.text == "110 1/4"


def test_two_rows_have_two_lines_and_the_upper_gaps_stand_above():
    works = [picture(i, x_mm=1_000 * i, line_mm=line, row=row) for i, line, row in ((1, 1_750, 0), (2, 1_150, 1))]
    wall = draw_elevation(TWO, works=works, unit="cm")
    assert [line.text for line in wall.lines] == ["175", "115"]
    upper, lower, _ = wall.chains
    assert upper.y < wall.wall.y and lower.y > wall.wall.foot_y
    assert (figures(upper), figures(lower)) == (["100", "260"], ["200", "160"])
    assert [work.row_name for work in wall.works] == ["Upper row", "Lower row"]


def test_works_and_text_go_row_by_row_from_the_left():
    works = [
        picture(1, x_mm=2_000, row=1, line_mm=1_150),
        picture(2, x_mm=2_000, line_mm=1_750),
        picture(3, x_mm=100, line_mm=1_750),
    ]
    wall = draw_elevation(TWO, works=works, unit="cm")
    assert [work.number for work in wall.works] == [3, 2, 1]
    assert [work.row_name for work in wall.works] == ["Upper row", "", "Lower row"]


def test_hooks_and_prints_are_drawn_where_they_are():
    hook = Hook(700, 1_580)
    (work,) = draw_elevation(NORTH, works=[picture(1, x_mm=500, hooks=(hook,))], unit="cm").works
    ((x, y),) = work.hooks
    assert x == pytest.approx(work.frame.middle_x, abs=2)
    assert work.frame.y < y < work.frame.y + work.frame.height // 2
    assert work.picture.width / work.frame.width == pytest.approx(300 / 400, rel=0.02)


def test_what_is_in_the_way_has_a_letter_and_its_name_where_there_is_room():
    door, switch = draw_elevation(NORTH, works=[], unit="cm").blocked
    assert (door.letter, door.label.text) == ("A", "A door")
    assert (switch.letter, switch.label.text) == ("B", "B")
    assert switch.label.y < switch.box.y
    assert [letter_of(i) for i in (0, 25, 26)] == ["A", "Z", "A1"]


def test_bare_wall_has_only_its_whole_length():
    assert len(draw_elevation(TWO, works=[], unit="cm").chains) == 1


SPANS = st.lists(st.tuples(st.integers(0, 400), st.integers(1, 600), st.sampled_from(["", "8", "12.5", "100.25"])))


@given(SPANS, st.booleans())
def test_no_figure_stands_on_another(drawn, is_above):
    at, spans = 0, []
    for space, length, text in drawn:
        spans.append(Span(at + space, at + space + length, text))
        at += space + length
    chain = draw_chain(spans, at=5_000, is_above=is_above) if spans else None
    assert all(level < MOST_LEVELS for level in levels_of(spans))
    for one, other in itertools.combinations(chain.labels if chain else (), 2):
        if one.y == other.y:
            ends = one.x + len(one.text) * LETTER_UNITS // 2, other.x - len(other.text) * LETTER_UNITS // 2
            assert ends[0] + CLEAR_UNITS <= ends[1]


def test_walls_of_a_plan_are_drawn_with_the_works_on_each():
    request = show({"a": [option(work_code="a")], "b": [option(work_code="b")]}, walls=(NORTH, TWO))
    places = [Placement(code, wall, 500, 1_250, 400, 400) for code, wall in (("a", "north"), ("b", "two"))]
    works = tuple(PlannedWork(p.work_code, p.work_code.upper(), "s", "bare", 1, 1, 1, p) for p in places)
    plan = Plan(0, 0, 0, True, 0, works, None, None)
    north, two = draw_elevations(request, now=plan, works=[Listed("a", 7, "a.webp"), Listed("b", 8, "")], unit="cm")
    assert [(w.number, w.image) for w in (*north.works, *two.works)] == [(7, "a.webp"), (8, "")]
    assert [len(wall.works) for wall in draw_elevations(request, now=None, works=[], unit="cm")] == [0, 0]
