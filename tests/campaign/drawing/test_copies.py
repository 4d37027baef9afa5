"""Wall money against copies: to scale, levels where they are reached, nothing outside the sheet."""

import re
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from campaign.drawing.copies import FOOT, HEIGHT, LEFT, MOST_POINTS, RIGHT, TOP, draw_copies
from campaign.drawing.thermometer import Mark


def points(path):
    return [tuple(map(int, pair.split())) for pair in path[1:].split("L")]


def test_a_straight_edition_is_a_straight_line():
    money = [n * 1_000 for n in range(11)]
    drawn = draw_copies(money, pencil=[n * 500 for n in range(11)], sold=5, levels=[Mark("Half", 5_000, True)])
    assert points(drawn.firm)[0] == (LEFT, FOOT)
    assert points(drawn.firm)[-1] == (RIGHT, TOP)
    assert points(drawn.pencil)[-1] == (RIGHT, (TOP + FOOT) // 2)
    assert (drawn.levels[0].cross_x, drawn.levels[0].y) == (drawn.here_x, drawn.here_y)
    assert [tick.copies for tick in drawn.ticks] == [0, 2, 4, 6, 8, 10]


def test_a_level_out_of_reach_has_no_crossing_and_a_far_one_is_left_to_the_table():
    levels = [Mark("Far", 15_001, False), Mark("Beyond", 12_000, False)]
    drawn = draw_copies([0, 10_000], pencil=[0, 9_000], sold=0, levels=levels)
    assert [(line.name, line.cross_x) for line in drawn.levels] == [("Beyond", None)]


def test_names_stand_where_the_line_is_not():
    levels = [Mark("Low", 1_000, True), Mark("High", 9_000, True)]
    drawn = draw_copies([n * 1_000 for n in range(11)], pencil=[0] * 11, sold=0, levels=levels)
    assert [(line.name, line.is_right, line.label_x) for line in drawn.levels] == [
        ("Low", True, RIGHT),
        ("High", False, LEFT),
    ]


def test_money_below_nothing_lies_below_the_floor():
    drawn = draw_copies([-1_000, 1_000], pencil=[-1_000, 500], sold=0, levels=[])
    assert TOP < drawn.floor < FOOT
    assert drawn.here_y == FOOT


def test_an_edition_of_nothing_can_be_drawn():
    assert points(draw_copies([0], pencil=[0], sold=0, levels=[]).firm) == [(LEFT, FOOT)]


@given(
    st.lists(st.integers(-10_000, 10**7), min_size=1, max_size=900),
    st.integers(0, 1_000),
    st.lists(st.integers(1, 10**8), max_size=5),
)
def test_everything_stays_on_the_sheet_and_labels_apart(money, sold, sums):
    drawn = draw_copies(money, pencil=money, sold=sold, levels=[Mark(str(one), one, False) for one in sums])
    found = points(drawn.firm)
    assert len(found) <= MOST_POINTS + 1
    assert all(LEFT <= x <= RIGHT and TOP <= y <= FOOT for x, y in found)
    assert re.fullmatch(r"M-?\d+ -?\d+(L-?\d+ -?\d+)*", drawn.firm)
    assert all(0 <= tick.x <= RIGHT for tick in drawn.ticks)
    labels = [line.label_y for line in drawn.levels]
    assert all(above <= below - 24 for below, above in pairwise(labels))
    assert all(label <= HEIGHT for label in labels)
