"""
Source: Directive 2011/83/EU art. 9(1), 9(2)(b) (text read); art. 10(1), 13(1), 14(1), 18(1) from memory; periods by
    Regulation (EEC, Euratom) 1182/71 art. 3, from memory; SI 2013/3134 reg. 29 to 31, 34, from memory; Directive
    2006/112/EC Annex IX Part A(7), from memory. Dates counted by calendar from those texts.
Edition: consolidated texts as known in 2026; notes read 2026-11-25 (§3.6, §5.2).
Licence: figures only.
What is checked: the last day to withdraw, with one parcel and several, over week-ends and holidays; twelve months for
    who was not told; the other periods of thirty and fourteen days; the thirty copies of an art photograph.
Tolerance: none, whole days.
"""

from datetime import date

import pytest

from campaign.measures.workdays import public_holidays
from campaign.planning.law.disclosure import counts_as_art_photograph
from campaign.planning.law.late_posting import refund_by
from campaign.planning.law.regions import Region, region_of
from campaign.planning.law.withdrawal import deliver_by, send_back_by, withdraw_until, withdraw_until_uninformed

pytestmark = pytest.mark.outside


def test_fourteen_days_from_the_day_after_delivery():
    """Art. 9(1): the day of delivery (Wednesday 2026-07-01) does not count; the fourteenth after it is the 15th."""
    assert withdraw_until([date(2026, 7, 1)]) == date(2026, 7, 15)


def test_several_parcels_of_one_order_count_from_the_last():
    """Art. 9(2)(b): goods delivered separately, from the last good."""
    assert withdraw_until([date(2026, 7, 8), date(2026, 7, 1), date(2026, 7, 3)]) == date(2026, 7, 22)


@pytest.mark.parametrize(
    ("delivered_on", "last_on"),
    [
        (date(2026, 7, 4), date(2026, 7, 20)),  # ends on Saturday the 18th
        (date(2026, 7, 5), date(2026, 7, 20)),  # on Sunday the 19th
        (date(2026, 12, 11), date(2026, 12, 28)),  # on Friday the 25th, a holiday like the 26th
        (date(2026, 3, 20), date(2026, 4, 7)),  # on Good Friday; Easter Monday is the 6th
    ],
    ids=str,
)
def test_a_last_day_without_work_moves_to_the_next_working_day(delivered_on, last_on):
    """Regulation 1182/71 art. 3(4), from memory; holidays of Germany."""
    assert withdraw_until([delivered_on], holidays=public_holidays("DE", years=(2026,))) == last_on


def test_who_was_not_told_has_twelve_months_more():
    """Art. 10(1) and reg. 31, from memory: twelve months from the end of the fourteen days."""
    assert withdraw_until_uninformed([date(2026, 7, 1)]) == date(2027, 7, 15)


def test_money_within_fourteen_days_and_the_print_within_fourteen():
    """Art. 13(1), 14(1) and reg. 34, 35, from memory: told on 2026-07-10."""
    for region in (Region.EU, Region.UK):
        assert refund_by(date(2026, 7, 10), region=region) == date(2026, 7, 24)
    assert send_back_by(date(2026, 7, 10)) == date(2026, 7, 24)


def test_delivered_within_thirty_days_unless_agreed_otherwise():
    """Art. 18(1), from memory: contract of 2026-03-10."""
    assert deliver_by(date(2026, 3, 10)) == date(2026, 4, 9)
    assert deliver_by(date(2026, 3, 10), stated_on=date(2026, 7, 31)) == date(2026, 7, 31)


def test_an_art_photograph_has_thirty_copies_at_most():
    """Annex IX Part A(7), from memory: thirty, all sizes and mounts together; thirty-one are too many."""
    assert counts_as_art_photograph(copies=27, proofs=3)
    assert not counts_as_art_photograph(copies=28, proofs=3)


def test_the_twenty_seven_members_and_the_united_kingdom():
    """List of member states since 2020-02-01, from memory."""
    members = [
        "AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT", "LT", "LU",
        "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK",
    ]  # fmt: skip
    assert len(members) == 27
    assert {region_of(code) for code in members} == {Region.EU}
    assert region_of("GB") is Region.UK
    assert region_of("CH") is Region.ELSEWHERE
