from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.measures.workdays import (
    add_workdays,
    is_workday,
    next_workday,
    previous_workday,
    public_holidays,
    workdays_between,
)

FRIDAY, SATURDAY, MONDAY = date(2026, 5, 15), date(2026, 5, 16), date(2026, 5, 18)
days = st.dates(min_value=date(2020, 1, 1), max_value=date(2035, 12, 31))
holiday_sets = st.frozensets(days, max_size=20)


def test_weekend_and_holidays_are_no_workdays():
    assert is_workday(FRIDAY)
    assert not is_workday(SATURDAY)
    assert not is_workday(FRIDAY, {FRIDAY})


def test_workday_at_or_beside_a_day():
    assert next_workday(FRIDAY) == previous_workday(FRIDAY) == FRIDAY
    assert next_workday(SATURDAY) == MONDAY
    assert previous_workday(SATURDAY, {FRIDAY}) == date(2026, 5, 14)


def test_counting_starts_on_the_day_after():
    assert add_workdays(FRIDAY, 1) == MONDAY
    assert add_workdays(FRIDAY, 1, {MONDAY}) == date(2026, 5, 19)
    assert add_workdays(MONDAY, -1) == FRIDAY
    assert add_workdays(SATURDAY, 0) == SATURDAY


def test_days_between_leave_out_the_start_and_count_the_end():
    assert workdays_between(FRIDAY, FRIDAY) == 0
    assert workdays_between(FRIDAY, MONDAY) == 1
    assert workdays_between(MONDAY, FRIDAY) == -1
    assert workdays_between(MONDAY, SATURDAY) == 0


@given(days, st.integers(-60, 60).filter(bool), holiday_sets)
def test_going_n_workdays_is_n_workdays_away(day, n, holidays):
    arrived = add_workdays(day, n, holidays)
    assert is_workday(arrived, holidays)
    assert workdays_between(day, arrived, holidays) == n


@given(days, holiday_sets)
def test_nearest_workdays_have_no_workday_between(day, holidays):
    after, before = next_workday(day, holidays), previous_workday(day, holidays)
    assert before <= day <= after
    passed = (day + timedelta(days=offset) for offset in range((after - day).days))
    assert not any(is_workday(between, holidays) for between in passed)


def test_holidays_of_a_region_are_more_than_those_of_its_country():
    country = public_holidays("DE", years=(2026,))
    region = public_holidays("DE", years=(2026,), region="BY")
    assert date(2026, 1, 6) in region - country
    assert country <= region


def test_unknown_country_is_refused():
    with pytest.raises(NotImplementedError):
        public_holidays("XX", years=(2026,))
