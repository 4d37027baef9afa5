from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from fulfilment.packing.printing_pace import reckon_pace

MONDAY = date(2026, 3, 9)


def day(n):
    return MONDAY + timedelta(days=n)


def test_without_a_print_there_is_no_pace_to_go_by():
    pace = reckon_pace([], left=5, today=MONDAY)
    assert (pace.by_day, pace.done_on, pace.left) == ((), None, 5)


def test_nothing_left_has_no_end_to_foretell():
    assert reckon_pace([MONDAY], left=0, today=MONDAY).done_on is None


def test_days_are_counted_oldest_first():
    assert reckon_pace([day(1), MONDAY, day(1)], left=1, today=day(1)).by_day == ((MONDAY, 1), (day(1), 2))


def test_ten_a_day_and_thirty_left_take_the_next_three_days():
    assert reckon_pace([MONDAY] * 10, left=30, today=MONDAY).done_on == day(3)


def test_counting_begins_today_when_nothing_came_out_today():
    assert reckon_pace([MONDAY] * 10, left=30, today=day(1)).done_on == day(3)


def test_part_of_a_day_is_a_day():
    assert reckon_pace([MONDAY] * 10, left=31, today=MONDAY).done_on == day(4)


def test_free_days_between_prints_slow_the_pace():
    # 20 copies over Monday to Thursday are five a day.
    pace = reckon_pace([MONDAY] * 10 + [day(3)] * 10, left=20, today=day(3))
    assert (pace.days, pace.done_on) == (4, day(7))


@given(st.lists(st.integers(0, 30), min_size=1, max_size=40), st.integers(1, 500), st.integers(0, 10))
def test_last_day_is_the_first_by_which_the_pace_makes_the_rest(offsets, left, idle):
    today = day(max(offsets) + idle)
    pace = reckon_pace([day(n) for n in offsets], left=left, today=today)
    needed = (pace.done_on - today).days + (1 if idle else 0)
    assert needed * pace.printed >= left * pace.days > (needed - 1) * pace.printed
