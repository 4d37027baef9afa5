"""
Source: Easter by the anonymous Gregorian algorithm (Meeus, Jones, Butcher); working days Monday to Friday; the
    backwards plan is computed in the project's notes on the trade (§7), the refund days there (§5.1) by 16 CFR 435.1.
Edition: notes read 2026-11-25; the algorithm from memory.
What is checked: the holiday calendar we rely on has Easter right, and working days are counted around it.
Tolerance: none, whole days.
"""

from datetime import date, timedelta

import pytest

from campaign.measures.workdays import next_workday, previous_workday, public_holidays

pytestmark = pytest.mark.outside
DAY = timedelta(days=1)


def workdays_after(day, n, holidays=()):
    for _ in range(n):
        day = next_workday(day + DAY, holidays)
    return day


def workdays_before(day, n, holidays=()):
    for _ in range(n):
        day = previous_workday(day - DAY, holidays)
    return day


def easter(year):
    """The anonymous Gregorian algorithm, integers only."""
    century, of_century = divmod(year, 100)
    golden = year % 19
    leaps, left = divmod(century, 4)
    correction = (century - (century + 8) // 25 + 1) // 3
    epact = (19 * golden + century - leaps - correction + 15) % 30
    weekday = (32 + 2 * left + 2 * (of_century // 4) - epact - of_century % 4) % 7
    late = (golden + 11 * epact + 22 * weekday) // 451
    month, day = divmod(epact + weekday - 7 * late + 114, 31)
    return date(year, month, day + 1)


@pytest.mark.parametrize("sunday", [date(2024, 3, 31), date(2025, 4, 20), date(2026, 4, 5), date(2027, 3, 28)], ids=str)
def test_easter_of_the_notes(sunday):
    """Notes §7: Easter 2024 to 2027."""
    assert easter(sunday.year) == sunday
    calendar = public_holidays("DE", years=(sunday.year,))
    assert {sunday - timedelta(days=2), sunday + timedelta(days=1)} <= calendar


def test_calendar_has_good_friday_and_easter_monday_for_sixty_years():
    """The anonymous Gregorian algorithm against the calendar package, 2000 to 2059."""
    calendar = public_holidays("DE", years=range(2000, 2060))
    for year in range(2000, 2060):
        assert easter(year) - timedelta(days=2) in calendar
        assert easter(year) + timedelta(days=1) in calendar


def test_working_days_step_over_easter():
    """Good Friday to Easter Monday 2026 (3 to 6 April) are no working days in Germany."""
    calendar = public_holidays("DE", years=(2026,))
    assert workdays_after(date(2026, 4, 2), 1, calendar) == date(2026, 4, 7)
    assert workdays_before(date(2026, 4, 7), 1, calendar) == date(2026, 4, 2)
    assert workdays_after(date(2026, 4, 2), 4, calendar) == date(2026, 4, 10)


def test_plan_backwards_from_the_opening():
    """Notes §7: opening Fri 2026-05-15, last day 14 May, framing 12–14, drying 11, printing 7–8, proof 6 May."""
    opening = date(2026, 5, 15)
    last_day = workdays_before(opening, 1)
    framing_from = workdays_before(last_day, 2)
    drying = framing_from - timedelta(days=1)
    printed_on = previous_workday(drying - timedelta(days=1))
    printing_from = workdays_before(printed_on, 1)
    proof = workdays_before(printing_from, 1)
    assert (last_day, framing_from, drying) == (date(2026, 5, 14), date(2026, 5, 12), date(2026, 5, 11))
    assert (printed_on, printing_from, proof) == (date(2026, 5, 8), date(2026, 5, 7), date(2026, 5, 6))


@pytest.mark.parametrize(
    "day",
    [date(2026, 1, 1), date(2026, 6, 19), date(2026, 7, 3), date(2026, 9, 7), date(2026, 11, 26), date(2026, 12, 25)],
    ids=str,
)
def test_federal_holidays_of_the_united_states(day):
    """5 USC 6103, from memory; 4 July 2026 is a Saturday and kept on Friday the 3rd."""
    assert day in public_holidays("US", years=(2026,))


@pytest.mark.parametrize(
    ("vests_on", "holidays", "due_on"),
    [
        (date(2026, 3, 16), (), date(2026, 3, 25)),
        (date(2025, 12, 22), (date(2025, 12, 25), date(2026, 1, 1)), date(2026, 1, 2)),
    ],
    ids=str,
)
def test_prompt_refund_is_sent_within_seven_working_days(vests_on, holidays, due_on):
    """16 CFR 435.1(b)(1): 7 working days from the day the right vests; days computed in the notes §5.1."""
    assert workdays_after(vests_on, 7, holidays) == due_on
