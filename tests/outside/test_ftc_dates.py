"""
Source: 16 CFR Part 435 (Mail, Internet, or Telephone Order Merchandise): 435.1 on a mirror of the CFR; 435.2(a)(1),
    (b)(1), (c) as eCFR text quoted in a public repository; 435.2(b)(2) from memory, its content from the FTC's
    business guide. The dates are computed by calendar from those texts in the project's notes on the trade (§5.1).
Edition: as in force in 2026; notes read 2026-11-25.
Licence: public domain; figures only.
What is checked: last days to post and to tell, what silence means on which day, and the last day of a refund.
Tolerance: none, whole days.
"""

from datetime import date

import pytest

from campaign.measures.workdays import public_holidays
from campaign.planning.law.late_posting import Delay, consents_by_silence_until, refund_by, ship_by, silence_of
from campaign.planning.law.regions import Region

pytestmark = pytest.mark.outside


def first(agreed_on, new_on, told_on=None):
    return Delay(agreed_on=agreed_on, told_on=told_on or agreed_on, number=1, new_on=new_on)


def test_without_a_stated_time_an_order_is_posted_within_thirty_days():
    """435.2(a)(1)(ii), 435.1(c): completed 2026-01-15, so by 2026-02-14."""
    assert ship_by(completed_on=date(2026, 1, 15)) == date(2026, 2, 14)


def test_a_stated_time_takes_the_place_of_the_thirty_days():
    """435.2(a)(1)(i): the stated time."""
    assert ship_by(completed_on=date(2026, 1, 15), stated_on=date(2026, 4, 30)) == date(2026, 4, 30)


@pytest.mark.parametrize(
    ("agreed_on", "last_on"),
    [(date(2026, 2, 14), date(2026, 3, 16)), (date(2026, 4, 30), date(2026, 5, 30))],
    ids=str,
)
def test_silence_consents_to_thirty_days_and_no_more(agreed_on, last_on):
    """435.2(b)(1)(ii): from 2026-02-14 to 2026-03-16, from 2026-04-30 to 2026-05-30; a day more does not."""
    assert consents_by_silence_until(agreed_on) == last_on
    assert not silence_of(first(agreed_on, last_on), region=Region.US).ends_order
    day_more = date.fromordinal(last_on.toordinal() + 1)
    assert silence_of(first(agreed_on, day_more), region=Region.US).ends_order


@pytest.mark.parametrize("new_on", [date(2026, 3, 17), None], ids=str)
def test_silence_cancels_at_the_end_of_the_thirtieth_day(new_on):
    """435.2(b)(1)(iii): agreed 2026-02-14, revised to 2026-03-17 or to no date: ends with 2026-03-16."""
    assert silence_of(first(date(2026, 2, 14), new_on), region=Region.US).until_on == date(2026, 3, 16)


def test_silence_on_a_further_delay_cancels_by_the_date_given_before():
    """435.2(b)(2), from memory: a renewed option, before the revised date; silence cancels, however short the delay."""
    again = Delay(
        agreed_on=date(2026, 4, 30), told_on=date(2026, 5, 15), number=2, new_on=date(2026, 6, 5),
        before_on=date(2026, 5, 30),
    )  # fmt: skip
    assert silence_of(again, region=Region.US).until_on == date(2026, 5, 30)


@pytest.mark.parametrize(
    ("vests_on", "due_on"),
    [(date(2026, 3, 16), date(2026, 3, 25)), (date(2025, 12, 22), date(2026, 1, 2))],
    ids=str,
)
def test_prompt_refund_is_sent_within_seven_working_days(vests_on, due_on):
    """435.1(b)(1): 7 working days; the holidays of the second one are 25 December and 1 January."""
    holidays = public_holidays("US", years=(2025, 2026))
    assert refund_by(vests_on, region=Region.US, holidays=holidays) == due_on
