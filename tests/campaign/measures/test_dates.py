from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.measures import numbers
from campaign.measures.dates import MONTHS, parse_date
from campaign.measures.errors import MeasureError

MID_MAY = date(2026, 5, 15)


@pytest.mark.parametrize(
    "text",
    [
        *("2026-05-15", "2026/5/15", "2026-05-15 00:00:00", "2026-05-15T00:00", "15.05.2026", "15. 5. 2026"),
        *("15/05/2026", "05/15/2026", "15-05-2026", "15 May 2026", "15 may 2026", "15-May-2026", "15. May 2026"),
        *("15th of May, 2026", "May 15, 2026", "May 15th 2026", "Fri 15 May 2026", "Friday, May 15, 2026"),
        *("fri 2026-05-15", " 15  May  2026 "),
    ],
)
def test_date_is_read_in_many_spellings(text):
    assert parse_date(text) == MID_MAY


def test_equal_day_and_month_are_not_in_doubt():
    assert parse_date("5/5/2026") == date(2026, 5, 5)


def test_points_mean_day_first():
    assert parse_date("05.06.2026") == date(2026, 6, 5)


def test_sept_is_september():
    assert parse_date("3 Sept 2026") == date(2026, 9, 3)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("05/06/2026", "which some read day first and some month first"),
        ("31.02.2026", "which is not a day of the calendar"),
        ("15/13/0000", "which is not a day of the calendar"),
        ("Thu 15 May 2026", "but that day is a Friday"),
        ("15 Foo 2026", "and “foo” is not a month"),
        ("15.05.26", "write a date such as 2026-05-15 or 15 May 2026"),
        ("2026-05-15 18:00:00", "write a date such as"),
        ("soon", "write a date such as"),
        ("", "Found nothing"),
    ],
)
def test_refusal_says_why(text, words):
    with pytest.raises(MeasureError, match=words):
        parse_date(text)


def test_numbers_offers_the_same_function():
    assert numbers.parse_date is parse_date


@given(st.dates(min_value=date(1000, 1, 1)))
def test_every_unambiguous_spelling_reads_back(day):
    month = MONTHS[day.month - 1]
    for text in (
        day.isoformat(),
        f"{day.day}.{day.month}.{day.year}",
        f"{day.day} {month} {day.year}",
        f"{month[:3].title()} {day.day}, {day.year}",
    ):
        assert parse_date(text) == day


@given(st.text(alphabet="0123456789./- abcmyTfri:", max_size=30))
def test_any_text_gives_a_date_or_a_refusal(text):
    try:
        parse_date(text)
    except MeasureError as refusal:
        assert refusal.expected == "a date such as 2026-05-15 or 15 May 2026"
