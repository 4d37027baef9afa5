from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.measures.workdays import is_workday, public_holidays
from campaign.planning.days.lead_time import lead_days_available, printer_seconds_available
from campaign.planning.days.remedies import Smaller, explain_lateness
from campaign.planning.days.schedule import Progress, ShowDays, plan_days
from campaign.planning.errors import InvalidRequest

HOUR = 3600
DAYS = ShowDays(
    today_on=date(2026, 3, 10),
    opens_on=date(2026, 3, 1),
    closes_on=date(2026, 4, 1),
    is_launched=True,
    hang_on=date(2026, 5, 14),
    opening_on=date(2026, 5, 15),
    posting_by_on=date(2026, 7, 31),
    payout_days=3,
    material_days=5,
    proof_days=1,
    printer_seconds=16 * HOUR,
    print_seconds_a_day=4 * HOUR,
    drying_hours=24,
    framing_days=3,
    days_off=public_holidays("DE", years=(2026,)),
)
TIGHT = replace(DAYS, closes_on=date(2026, 4, 26), today_on=date(2026, 4, 10))


def earliest(schedule):
    return {item.code: (item.first_on, item.last_on) for item in schedule.items}


def test_forwards_from_the_close_over_easter():
    """The close on Wednesday 1 April, pay-out to the 4th, Good Friday the 3rd, Easter Monday the 6th."""
    found = earliest(plan_days(DAYS))
    assert found["campaign"] == (date(2026, 3, 1), date(2026, 4, 1))
    assert found["payout"] == (date(2026, 4, 2), date(2026, 4, 4))
    assert found["money"] == (date(2026, 4, 5), date(2026, 4, 5))
    assert found["materials"] == (date(2026, 4, 7), date(2026, 4, 13))
    assert found["proof"] == (date(2026, 4, 14), date(2026, 4, 14))
    assert found["printing"] == (date(2026, 4, 15), date(2026, 4, 20))
    assert found["drying"] == (date(2026, 4, 21), date(2026, 4, 21))
    assert found["framing"] == (date(2026, 4, 22), date(2026, 4, 24))
    assert found["posting"] == (date(2026, 4, 22), date(2026, 4, 22))
    assert found["hang"] == (date(2026, 5, 14), date(2026, 5, 14))
    assert found["opening"] == (date(2026, 5, 15), date(2026, 5, 15))


def test_backwards_from_hanging_day_over_a_holiday():
    """Labour Day, Friday 1 May, is no working day; hanging is on Ascension Day itself, which the artist chose."""
    schedule = plan_days(DAYS)
    latest = {item.code: (item.latest_first_on, item.latest_last_on) for item in schedule.items}
    assert latest["framing"] == (date(2026, 5, 11), date(2026, 5, 13))
    assert latest["drying"] == (date(2026, 5, 10), date(2026, 5, 10))
    assert latest["printing"] == (date(2026, 5, 5), date(2026, 5, 8))
    assert latest["orders"] == (date(2026, 5, 4), date(2026, 5, 4))
    assert latest["proof"] == (date(2026, 5, 4), date(2026, 5, 4))
    assert latest["materials"] == (date(2026, 4, 24), date(2026, 4, 30))
    assert latest["campaign"][1] == date(2026, 4, 20)
    between = (date(2026, 4, 20) + timedelta(days=n) for n in range(1, 19))  # to 8 May
    assert schedule.find("printing").float_days == sum(is_workday(day, DAYS.days_off) for day in between)
    assert schedule.late == ()


def test_the_chain_to_hanging_is_critical_and_what_is_beside_it_is_not():
    items = plan_days(DAYS).items
    assert [item.code for item in items if not item.is_critical] == ["launch", "orders", "posting"]


def test_the_promise_to_backers_can_be_tighter_than_hanging_day():
    schedule = plan_days(replace(DAYS, posting_by_on=date(2026, 4, 21)))
    assert [item.code for item in schedule.late] == [
        "campaign", "payout", "money", "materials", "proof", "printing", "drying", "posting"
    ]  # fmt: skip
    assert schedule.find("posting").is_critical
    assert not schedule.find("framing").is_critical
    assert explain_lateness(schedule, works=6)[1] == "Prints can be posted from 22 April on; 21 April was promised."


def test_steps_that_take_no_time_are_left_out():
    plain = replace(DAYS, payout_days=0, material_days=0, proof_days=0, printer_seconds=0, framing_days=0)
    assert [item.code for item in plan_days(plain).items] == [
        "launch", "campaign", "money", "posting", "hang", "opening"
    ]  # fmt: skip


def test_hanging_may_be_on_the_day_of_the_opening_itself():
    schedule = plan_days(replace(DAYS, hang_on=DAYS.opening_on))
    hang = schedule.find("hang")
    assert (hang.first_on, hang.last_on, hang.counted) == (DAYS.opening_on, DAYS.opening_on, None)
    assert schedule.find("framing").latest_last_on == date(2026, 5, 13)  # the 14th is a holiday


def test_closed_days_push_both_ways():
    away = frozenset(date(2026, 4, 14) + timedelta(days=day) for day in range(4))
    found = plan_days(replace(DAYS, days_off=DAYS.days_off | away))
    assert earliest(found)["proof"] == (date(2026, 4, 20), date(2026, 4, 20))
    away = frozenset([date(2026, 5, 12)])
    found = plan_days(replace(DAYS, days_off=DAYS.days_off | away))
    assert found.find("framing").latest_first_on == date(2026, 5, 8)


def test_what_is_done_is_neither_late_nor_critical_and_the_rest_goes_on_from_it():
    materials = Progress("materials", date(2026, 3, 20), date(2026, 3, 26))
    done = plan_days(replace(DAYS, progress=(materials,)))
    assert earliest(done)["materials"] == (date(2026, 3, 20), date(2026, 3, 26))
    assert not done.find("materials").is_critical
    begun = Progress("printing", date(2026, 4, 8))
    going_on = plan_days(replace(DAYS, closed_on=date(2026, 4, 1), today_on=date(2026, 4, 9), progress=(begun,)))
    assert earliest(going_on)["printing"] == (date(2026, 4, 8), date(2026, 4, 13))
    assert going_on.find("printing").is_begun
    assert earliest(going_on)["drying"] == (date(2026, 4, 14), date(2026, 4, 14))


def test_work_that_should_be_over_and_is_not_ends_today_at_the_earliest():
    begun = Progress("printing", date(2026, 4, 8))
    late = plan_days(replace(DAYS, closed_on=date(2026, 4, 1), today_on=date(2026, 4, 20), progress=(begun,)))
    assert earliest(late)["printing"] == (date(2026, 4, 8), date(2026, 4, 20))


def test_a_day_that_has_gone_by_is_said_plainly():
    late = plan_days(replace(DAYS, closed_on=date(2026, 4, 1), today_on=date(2026, 5, 6)))
    assert late.find("materials").is_past
    sentences = explain_lateness(late, works=6)
    assert "Materials ordered and delivered: 30 April at the latest, already past." in sentences


def test_a_launch_that_comes_late_makes_the_campaign_shorter():
    draft = replace(DAYS, is_launched=False, today_on=date(2026, 3, 20))
    found = earliest(plan_days(draft))
    assert found["launch"] == (date(2026, 3, 20), date(2026, 3, 20))
    assert found["campaign"] == (date(2026, 3, 20), date(2026, 4, 1))
    assert earliest(plan_days(replace(draft, today_on=date(2026, 4, 9))))["campaign"] == (date(2026, 4, 9),) * 2


def test_after_hanging_day_nothing_is_late():
    over = plan_days(replace(TIGHT, today_on=date(2026, 5, 15)))
    assert over.late == ()
    assert not any(item.is_past for item in over.items)


def test_printing_that_does_not_fit_names_what_can_be_done():
    long = replace(DAYS, printer_seconds=27 * 4 * HOUR)
    schedule = plan_days(long)
    # From the 15th there are 17 working days up to the 8th of May, with Labour Day between them.
    assert schedule.find("printing").float_days == -10
    offers = [Smaller(works=24, printer_seconds=25 * 4 * HOUR, framing_days=3), Smaller(19, 17 * 4 * HOUR, 3)]
    assert explain_lateness(schedule, works=27, offers=offers) == (
        "Printing needs 10 more days than there are: close the campaign by 16 March, print 6½ hours a day, or hang 19 "
        "works instead of 27.",
    )


def test_every_way_out_that_is_named_is_one():
    schedule = plan_days(replace(DAYS, printer_seconds=27 * 4 * HOUR))
    for change in ({"closes_on": date(2026, 3, 16)}, {"print_seconds_a_day": 6 * HOUR + 1800}):
        assert plan_days(replace(schedule.days, **change)).late == ()
    for change in ({"closes_on": date(2026, 3, 17)}, {"print_seconds_a_day": 6 * HOUR}):
        assert plan_days(replace(schedule.days, **change)).late


def test_a_framer_who_takes_too_long_names_quicker_finishes():
    schedule = plan_days(replace(DAYS, framing_days=16))
    (sentence,) = explain_lateness(schedule, works=6)
    assert sentence.startswith("Finishing and framing need 1 more day than there is: close the campaign by ")
    assert "choose finishes that take 15 working days instead of 16" in sentence


def test_where_nothing_helps_alone_the_gallery_is_asked():
    late = replace(DAYS, closed_on=date(2026, 4, 1), today_on=date(2026, 5, 11), framing_days=0, material_days=9)
    (sentence, *_) = explain_lateness(plan_days(late), works=6)
    assert "Nothing alone is enough; all could be ready for hanging on " in sentence
    assert sentence.endswith(", if the gallery agrees.")


def test_days_for_finishing_are_those_between_drying_and_hanging():
    """Printing to the 20th, drying on the 21st, then 22 to 30 April and 4 to 13 May without Labour Day."""
    assert lead_days_available(DAYS) == 7 + 8
    assert lead_days_available(replace(DAYS, framing_days=9, today_on=date(2026, 5, 1))) == 7 + 8
    assert lead_days_available(replace(DAYS, printer_seconds=27 * 4 * HOUR)) == 0


def test_printer_time_is_that_of_the_days_between_proof_and_drying():
    assert printer_seconds_available(DAYS) == 17 * 4 * HOUR
    assert printer_seconds_available(replace(DAYS, framing_days=8)) == 12 * 4 * HOUR
    assert printer_seconds_available(replace(DAYS, closes_on=date(2026, 5, 10))) == 0


dates = st.dates(min_value=date(2026, 1, 1), max_value=date(2026, 12, 31))


@st.composite
def shows(draw):
    opens_on = draw(dates)
    closes_on = opens_on + timedelta(days=draw(st.integers(0, 60)))
    hang_on = closes_on + timedelta(days=draw(st.integers(0, 90)))
    return ShowDays(
        today_on=draw(dates),
        opens_on=opens_on,
        closes_on=closes_on,
        is_launched=draw(st.booleans()),
        hang_on=hang_on,
        opening_on=hang_on + timedelta(days=draw(st.integers(0, 3))),
        posting_by_on=draw(st.none() | dates),
        payout_days=draw(st.integers(0, 10)),
        material_days=draw(st.integers(0, 10)),
        proof_days=draw(st.integers(0, 3)),
        printer_seconds=draw(st.integers(0, 40 * HOUR)),
        print_seconds_a_day=draw(st.integers(HOUR, 8 * HOUR)),
        drying_hours=draw(st.integers(0, 72)),
        framing_days=draw(st.integers(0, 15)),
        days_off=draw(st.frozensets(dates, max_size=30)),
    )


@given(shows())
def test_steps_follow_each_other_and_keep_their_length(days):
    schedule = plan_days(days)
    for item in schedule.items:
        assert item.first_on <= item.last_on
        assert item.latest_first_on <= item.latest_last_on
        if item.counted == "working days":
            span = (item.first_on + timedelta(days=n) for n in range((item.last_on - item.first_on).days + 1))
            assert sum(is_workday(day, days.days_off) for day in span) == item.length_days
    chain = ["materials", "proof", "printing", "drying", "framing"]
    there = [item for code in chain if (item := schedule.find(code))]
    for one, other in pairwise(there):
        assert one.last_on < other.first_on
        assert one.latest_last_on < other.latest_first_on


@given(shows(), dates)
def test_latest_days_do_not_depend_on_today(days, another):
    def latest(schedule):
        return [(item.code, item.latest_last_on) for item in schedule.items if item.code != "launch"]

    assert latest(plan_days(days)) == latest(plan_days(replace(days, today_on=another)))


@given(shows(), st.integers(0, 20))
def test_more_time_never_makes_anything_late(days, more):
    days = replace(days, today_on=min(days.today_on, days.hang_on))
    later = replace(
        days, hang_on=days.hang_on + timedelta(days=more), opening_on=days.opening_on + timedelta(days=more)
    )
    assert {item.code for item in plan_days(later).late} <= {item.code for item in plan_days(days).late}
    assert lead_days_available(later) >= lead_days_available(days)
    assert printer_seconds_available(later) >= printer_seconds_available(days)


@given(shows(), st.integers(0, 30 * HOUR))
def test_what_the_limits_allow_is_in_time_when_nothing_delays_it(days, seconds):
    calm = replace(days, today_on=days.opens_on, posting_by_on=None, printer_seconds=seconds)
    allowed = replace(calm, framing_days=lead_days_available(calm))
    if plan_days(replace(calm, framing_days=0)).late == ():
        assert plan_days(allowed).late == ()
        assert plan_days(replace(allowed, framing_days=allowed.framing_days + 1)).late
    within = replace(calm, framing_days=0, printer_seconds=printer_seconds_available(replace(calm, framing_days=0)))
    if within.printer_seconds:
        assert plan_days(within).late == ()
        assert plan_days(replace(within, printer_seconds=within.printer_seconds + 1)).late


@given(shows())
def test_sentences_are_said_exactly_when_something_is_late(days):
    schedule = plan_days(days)
    sentences = explain_lateness(schedule, works=9, offers=[Smaller(3, HOUR, 0)])
    assert bool(sentences) == bool(schedule.late)
    assert all(sentence.endswith(".") for sentence in sentences)


@pytest.mark.parametrize(
    "change",
    [{"hang_on": date(2026, 5, 16)}, {"closes_on": date(2026, 2, 1)}, {"print_seconds_a_day": 0}, {"proof_days": -1}],
    ids=str,
)
def test_days_that_make_no_sense_are_refused(change):
    with pytest.raises(InvalidRequest):
        replace(DAYS, **change)


def test_progress_that_makes_no_sense_is_refused():
    with pytest.raises(InvalidRequest):
        Progress("hang", date(2026, 4, 1))
    with pytest.raises(InvalidRequest):
        Progress("proof", date(2026, 4, 2), date(2026, 4, 1))
