"""The staircase drawn: to scale, firm up to the money in hand, light enough for a phone, labels that do not touch."""

import itertools
import re

from hypothesis import given
from hypothesis import strategies as st

from campaign.drawing.staircase import (
    FOOT,
    GRAIN,
    LEAST_LABEL_GAP,
    LEAST_LEVEL_GAP,
    LEFT,
    RIGHT,
    TOP,
    draw_staircase,
    draw_two_staircases,
)
from campaign.drawing.thermometer import Mark
from campaign.planning import Staircase, Step
from campaign.planning.explaining.landings import find_landings

STAIRS = Staircase(
    steps=(
        Step(0, 0, (-1, -1), 0),
        Step(10_000, 50, (0, -1), 50),
        Step(30_000, 80, (0, 0), 80),
        Step(40_000, 100, (1, 0), 100),
    )
)


def long_staircase(count):
    """Steps of a real show: many, small, one more work every hundred steps."""
    steps = [Step(0, 0, (-1,) * 20, 0)]
    for n in range(1, count):
        hung = min(1 + n // 100, 20)
        steps.append(Step(5_000 + 37 * n, 100 + 5 * n, (0,) * hung + (-1,) * (20 - hung), 0))
    return Staircase(steps=tuple(steps))


def corners(path):
    return [int(number) for number in re.findall(r"\d+", path)]


def test_the_firm_part_ends_at_the_money_in_hand_and_the_pencil_goes_on_from_there():
    drawn = draw_staircase(STAIRS, in_hand_minor=20_000, levels=[])
    assert corners(drawn.firm)[:2] == [LEFT, FOOT]
    assert corners(drawn.firm)[-1] == drawn.here.x
    assert tuple(corners(drawn.pencil)[:2]) == drawn.here
    assert corners(drawn.pencil)[-1] == RIGHT
    assert drawn.here.y == FOOT - 50 * (FOOT - TOP) // 100


def test_more_money_is_never_drawn_lower():
    heights = [draw_staircase(STAIRS, in_hand_minor=minor, levels=[]).here.y for minor in range(0, 50_000, 1000)]
    assert heights == sorted(heights, reverse=True)


def test_money_beyond_either_end_stays_on_the_paper():
    assert draw_staircase(STAIRS, in_hand_minor=-5_000, levels=[]).here.x == LEFT
    assert draw_staircase(STAIRS, in_hand_minor=10**9, levels=[]).here.x == RIGHT


def test_the_money_if_all_is_paid_is_marked_where_it_differs():
    assert draw_staircase(STAIRS, in_hand_minor=20_000, levels=[]).there is None
    assert draw_staircase(STAIRS, in_hand_minor=20_000, if_paid_minor=20_000, levels=[]).there is None
    drawn = draw_staircase(STAIRS, in_hand_minor=20_000, if_paid_minor=35_000, levels=[])
    assert drawn.there.x > drawn.here.x
    assert drawn.there.y == FOOT - 80 * (FOOT - TOP) // 100


def test_a_staircase_of_1350_steps_is_drawn_with_no_more_corners_than_a_phone_shows():
    drawn = draw_staircase(long_staircase(1350), in_hand_minor=20_000, levels=[])
    assert (drawn.firm + drawn.pencil).count("V") <= (RIGHT - LEFT) // GRAIN + 2
    assert len(drawn.firm + drawn.pencil) < 4_000


@given(st.lists(st.tuples(st.integers(1, 300), st.integers(1, 90)), min_size=1, max_size=200), st.integers(0, 40_000))
def test_what_is_drawn_is_never_above_the_staircase_and_less_than_a_grain_late(rises, in_hand):
    money, worth, steps = 0, 0, [Step(0, 0, (-1,), 0)]
    for more_minor, points in rises:
        money, worth = money + more_minor, worth + points
        steps.append(Step(money, worth, (0,), worth))
    staircase = Staircase(steps=tuple(steps))
    drawn = draw_staircase(staircase, in_hand_minor=in_hand, levels=[])
    whole = draw_two_staircases(staircase, staircase, now_minor=0, then_minor=0, levels=[])
    points = [LEFT, FOOT, *itertools.chain(*re.findall(r"H(\d+)V(\d+)", whole.firm))]
    places = [(int(x), int(y)) for x, y in zip(points[::2], points[1::2], strict=True)]
    top_minor = money + money // 16 + 1
    for x, y in places[1:]:
        reached = [s for s in steps if LEFT + s.money_minor * (RIGHT - LEFT) // top_minor <= x]
        assert y == FOOT - reached[-1].worth * (FOOT - TOP) // worth
    assert places == sorted(places, key=lambda place: (place[0], -place[1]))
    assert corners(drawn.firm)[-1] == drawn.here.x


def test_two_staircases_share_one_scale():
    dearer = Staircase(steps=tuple(Step(s.money_minor * 2, s.worth, s.choice, s.worth) for s in STAIRS.steps))
    drawn = draw_two_staircases(STAIRS, dearer, now_minor=30_000, then_minor=30_000, levels=[])
    assert drawn.here.x == drawn.there.x
    assert drawn.here.y < drawn.there.y
    assert corners(drawn.firm)[-1] == corners(drawn.pencil)[-1] == RIGHT
    assert drawn.firm != drawn.pencil
    same = draw_two_staircases(STAIRS, STAIRS, now_minor=30_000, then_minor=30_000, levels=[])
    assert (same.there, same.firm) == (None, same.pencil)


def test_the_number_of_works_is_said_where_it_changes_and_there_is_room():
    drawn = draw_staircase(STAIRS, in_hand_minor=0, levels=[])
    assert [label.works for label in drawn.labels] == [1, 2]
    labels = draw_staircase(long_staircase(1350), in_hand_minor=0, levels=[]).labels
    assert len(labels) > 5
    assert all(after.x - before.x >= LEAST_LABEL_GAP for before, after in itertools.pairwise(labels))


def test_numbers_of_levels_stay_on_the_paper_and_apart():
    levels = [Mark(f"Level number {n} of them", 20_000 + n * 300, is_reached=False) for n in range(3)]
    levels += [Mark("The last", 50_000, is_reached=False), Mark("First", 100, is_reached=True)]
    lines = draw_staircase(STAIRS, in_hand_minor=0, levels=levels).levels
    assert [line.number for line in lines] == [1, 2, 3, 4, 5]
    assert lines[0].name == "First"
    assert all(after.label_x - before.label_x >= LEAST_LEVEL_GAP for before, after in itertools.pairwise(lines))
    assert all(LEFT <= line.x <= RIGHT and LEFT <= line.label_x <= RIGHT for line in lines)


def test_landings_lie_on_the_line_and_have_letters():
    landings = find_landings(STAIRS)
    marks = draw_staircase(STAIRS, in_hand_minor=0, levels=[], landings=landings).landings
    assert [mark.letter for mark in marks] == list("abcd"[: len(landings)])
    assert [(mark.x, mark.y) for mark in marks] == [
        tuple(draw_staircase(STAIRS, in_hand_minor=landing.money_minor, levels=[]).here) for landing in landings
    ]


def test_a_show_that_costs_nothing_can_be_drawn():
    drawn = draw_staircase(Staircase(steps=(Step(0, 0, (), 0),)), in_hand_minor=0, levels=[])
    assert drawn.here == (LEFT, FOOT)
