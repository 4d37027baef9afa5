"""What silence means, whatever the dates: elsewhere nothing, in the United States an end that is not too soon."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from campaign.planning.law.disclosure import EditionFacts, Said, read_disclosure
from campaign.planning.law.late_posting import (
    FAIR_DAYS,
    Delay,
    consents_by_silence,
    consents_by_silence_until,
    refund_by,
    silence_of,
)
from campaign.planning.law.regions import Region, region_of

DAYS = st.dates(min_value=date(2026, 1, 1), max_value=date(2027, 12, 31))
DELAYS = st.builds(
    Delay, agreed_on=DAYS, told_on=DAYS, number=st.integers(1, 4), new_on=st.none() | DAYS, before_on=st.none() | DAYS
)


@given(delay=DELAYS, region=st.sampled_from([Region.EU, Region.UK, Region.ELSEWHERE]))
def test_outside_the_united_states_silence_ends_nothing_and_agrees_to_nothing(delay, region):
    assert not silence_of(delay, region=region).ends_order
    assert not consents_by_silence(delay, region=region)


@given(delay=DELAYS)
def test_nobody_is_ended_sooner_than_a_week_after_being_told(delay):
    silence = silence_of(delay, region=Region.US)
    if silence.until_on is not None:
        assert silence.until_on >= delay.told_on + timedelta(days=FAIR_DAYS)


@given(delay=DELAYS)
def test_silence_consents_only_to_a_first_short_delay_told_in_time(delay):
    is_short = delay.new_on is not None and delay.new_on <= consents_by_silence_until(delay.agreed_on)
    in_time = delay.told_on <= delay.agreed_on
    assert consents_by_silence(delay, region=Region.US) == (delay.number == 1 and is_short and in_time)


def test_a_first_notice_that_comes_too_late_ends_silent_orders_even_for_a_short_delay():
    late = Delay(agreed_on=date(2026, 4, 30), told_on=date(2026, 5, 4), number=1, new_on=date(2026, 5, 20))
    assert silence_of(late, region=Region.US).until_on == date(2026, 5, 30)
    very_late = Delay(agreed_on=date(2026, 4, 30), told_on=date(2026, 6, 10), number=1, new_on=date(2026, 7, 1))
    assert silence_of(very_late, region=Region.US).until_on == date(2026, 6, 17)


def test_a_further_notice_after_one_without_a_date_gives_thirty_days():
    again = Delay(agreed_on=date(2026, 4, 30), told_on=date(2026, 8, 1), number=2, new_on=date(2026, 9, 1))
    assert silence_of(again, region=Region.US).until_on == date(2026, 8, 31)


@given(day=DAYS)
def test_the_refund_day_in_the_united_states_is_a_working_day_nine_to_eleven_days_on(day):
    due_on = refund_by(day, region=Region.US)
    assert due_on.weekday() < 5
    assert 9 <= (due_on - day).days <= 11


def test_territories_follow_the_united_states_and_islands_themselves():
    assert {region_of(code) for code in ("US", "PR", "GU", "VI")} == {Region.US}
    assert {region_of(code) for code in ("JE", "GG", "IM", "CA", "AU", "", "XX")} == {Region.ELSEWHERE}
    assert {region_of(code) for code in ("NO", "IS", "LI", "RE", "AX")} == {Region.EU}


def facts(**changes):
    known = {
        "artist": "Ada Example", "title": "Harbour light", "year": "2025", "process": "pigment print",
        "paper": "Cotton paper", "size_words": "29.7 × 21 cm", "copies": 20, "proofs": 2, "description": "",
    }  # fmt: skip
    return EditionFacts(**(known | changes))


def test_what_an_edition_says_is_filled_and_the_rest_is_missing():
    points = {point.name: point for point in read_disclosure(facts(process=" "))}
    assert points["Paper"].said is Said.FILLED
    assert points["Medium and process"].said is Said.MISSING
    assert points["Total edition"].words == "22, numbered copies and proofs together"
    assert points["Signed, by whom and how"].said is Said.MISSING


def test_what_only_words_can_say_is_for_the_artist_to_read():
    points = {point.name: point for point in read_disclosure(facts(description="Signed in pencil."))}
    assert points["Signed, by whom and how"].said is Said.READ
    assert points["Artist"].said is Said.FILLED
