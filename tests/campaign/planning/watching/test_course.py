"""Day by day: what was pledged and received so far."""

from datetime import date, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from campaign.drawing.course import LINE_HEIGHT, draw_course
from campaign.planning.watching.course import Move, course

FIRST = date(2026, 3, 1)
moves = st.lists(
    st.builds(
        Move,
        st.integers(-5, 40).map(lambda n: FIRST + timedelta(days=n)),
        st.integers(-500, 900),
        st.integers(-500, 900),
    )
)


@given(moves, st.integers(0, 30))
def test_the_last_day_is_the_sum_of_all_that_moved_by_then(made, length):
    last = FIRST + timedelta(days=length)
    days = course(made, first_on=FIRST, last_on=last)
    assert [day.on for day in days] == [FIRST + timedelta(days=n) for n in range(length + 1)]
    assert days[-1].pledged_minor == sum(move.pledged_minor for move in made if move.on <= last)
    assert days[-1].received_minor == sum(move.received_minor for move in made if move.on <= last)


def test_before_the_first_day_there_is_no_course():
    assert course([Move(FIRST, 100)], first_on=FIRST, last_on=FIRST - timedelta(days=1)) == ()
    assert draw_course((), last_on=FIRST, levels=(), band=None) is None


@given(moves, st.lists(st.integers(1, 10_000), max_size=3), st.integers(0, 30))
def test_everything_drawn_stands_inside_the_box(made, levels, length):
    days = course(made, first_on=FIRST, last_on=FIRST + timedelta(days=length))
    figure = draw_course(
        days, last_on=FIRST + timedelta(days=30), levels=[("a", money) for money in levels], band=(100, 5_000)
    )
    points = [tuple(map(int, point.split(","))) for point in f"{figure.pledged} {figure.received}".split()]
    assert all(0 <= x <= figure.right and 0 <= y <= figure.floor for x, y in points)
    assert all(0 <= mark.y <= figure.floor and 0 < mark.words_y <= figure.floor for mark in figure.marks)
    words = [mark.words_y for mark in figure.marks]
    assert all(below - above >= LINE_HEIGHT for below, above in pairwise(words))
    top, height = figure.band
    assert top >= 0 and top + height <= figure.floor + 2
