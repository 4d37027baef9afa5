"""The staircase drawn: to scale, firm up to the money in hand, labels that do not touch."""

import re

from campaign.drawing.staircase import FOOT, LEFT, RIGHT, TOP, WIDTH, draw_staircase
from campaign.drawing.thermometer import Mark
from campaign.planning import Staircase, Step

STAIRS = Staircase(
    steps=(
        Step(0, 0, (-1, -1), 0),
        Step(10_000, 50, (0, -1), 50),
        Step(30_000, 80, (0, 0), 80),
        Step(40_000, 100, (1, 0), 100),
    )
)


def corners(path):
    return [int(number) for number in re.findall(r"\d+", path)]


def test_the_firm_part_ends_at_the_money_in_hand_and_the_pencil_goes_on_from_there():
    drawn = draw_staircase(STAIRS, in_hand_minor=20_000, levels=[])
    assert corners(drawn.firm)[:2] == [LEFT, FOOT]
    assert corners(drawn.firm)[-1] == drawn.here_x
    assert corners(drawn.pencil)[:2] == [drawn.here_x, drawn.here_y]
    assert corners(drawn.pencil)[-1] == RIGHT
    assert drawn.here_y == FOOT - 50 * (FOOT - TOP) // 100


def test_more_money_is_never_drawn_lower():
    heights = [draw_staircase(STAIRS, in_hand_minor=minor, levels=[]).here_y for minor in range(0, 50_000, 1000)]
    assert heights == sorted(heights, reverse=True)


def test_money_beyond_either_end_stays_on_the_paper():
    assert draw_staircase(STAIRS, in_hand_minor=-5_000, levels=[]).here_x == LEFT
    assert draw_staircase(STAIRS, in_hand_minor=10**9, levels=[]).here_x == RIGHT


def test_the_number_of_works_is_said_where_it_changes():
    drawn = draw_staircase(STAIRS, in_hand_minor=0, levels=[])
    assert [label.works for label in drawn.labels] == [1, 2]


def test_names_of_levels_stay_on_the_paper_and_apart():
    levels = [Mark(f"Level number {n} of them", 20_000 + n * 900, is_reached=False) for n in range(3)]
    levels.append(Mark("The very last one of all the levels", 50_000, is_reached=False))
    drawn = draw_staircase(STAIRS, in_hand_minor=0, levels=levels)
    assert len({line.label_y for line in drawn.levels[:3]}) == 3
    assert drawn.levels[-1].is_left
    assert drawn.levels[-1].name.endswith("…")
    assert all(0 <= line.x <= WIDTH for line in drawn.levels)


def test_a_show_that_costs_nothing_can_be_drawn():
    drawn = draw_staircase(Staircase(steps=(Step(0, 0, (), 0),)), in_hand_minor=0, levels=[])
    assert (drawn.here_x, drawn.here_y) == (LEFT, FOOT)
