from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.measures.workdays import is_workday, next_workday, previous_workday, public_holidays

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
