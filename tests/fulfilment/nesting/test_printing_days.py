"""Print days: no day longer than it may be, what is needed first comes first, dry before it is framed."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from campaign.measures.workdays import is_workday
from fulfilment.nesting.printing_days import Sheetful, fill_days

MONDAY = date(2026, 3, 9)


@st.composite
def sheetfuls(draw):
    rows = draw(
        st.lists(
            st.tuples(st.integers(0, 130), st.one_of(st.none(), st.integers(0, 6)), st.sampled_from([0, 12, 24, 49])),
            max_size=20,
        )
    )
    return [Sheetful(f"s{at:02}", *row) for at, row in enumerate(rows)]


@given(items=sheetfuls(), gone=st.integers(0, 120), first=st.integers(0, 13), off=st.sets(st.integers(0, 20)))
def test_days_are_filled_as_promised(items, gone, first, off):
    days_off = {MONDAY + timedelta(days=day) for day in off}
    first_on = MONDAY + timedelta(days=first)
    plan = fill_days(items, first_on=first_on, seconds_a_day=100, seconds_gone=gone, days_off=days_off)
    known = {item.code: item for item in items}
    placed = [code for day in plan.days for code in day.codes]
    assert sorted([*placed, *plan.too_long]) == sorted(known), "each once and in one go"
    assert set(plan.too_long) == {item.code for item in items if item.seconds > 100}
    for day in plan.days:
        assert is_workday(day.on, days_off) and day.on >= first_on
        spent = gone if day.on == first_on else 0
        assert day.seconds == sum(known[code].seconds for code in day.codes)
        assert day.seconds == 0 or day.seconds + spent <= 100
    needs = [(known[code].framing_days is None, -(known[code].framing_days or 0)) for code in placed]
    assert needs == sorted(needs), "need order is kept"
    assert [day.on for day in plan.days] == sorted({day.on for day in plan.days})


@given(items=sheetfuls())
def test_everything_dries_before_it_is_framed_and_is_framed_before_it_hangs(items):
    plan = fill_days(items, first_on=MONDAY, seconds_a_day=100)
    known = {item.code: item for item in items}
    for time in plan.times:
        one = known[time.code]
        assert (time.dry_on - time.printed_on).days * 24 >= one.drying_hours + 24, "from the evening of the print day"
        if one.framing_days is None:
            assert time.ready_on is None
            continue
        between = (time.ready_on - time.dry_on).days
        framing = [time.dry_on + timedelta(days=day) for day in range(between)]
        assert sum(is_workday(day) for day in framing) == one.framing_days


def test_a_day_that_has_begun_takes_what_is_left_of_it():
    plan = fill_days([Sheetful("a", 60), Sheetful("b", 60)], first_on=MONDAY, seconds_a_day=100, seconds_gone=40)
    assert [(day.on.day, day.codes) for day in plan.days] == [(9, ("a",)), (10, ("b",))]


def test_hours_gone_on_a_sunday_do_not_shorten_the_monday():
    plan = fill_days([Sheetful("a", 100)], first_on=MONDAY - timedelta(days=1), seconds_a_day=100, seconds_gone=90)
    assert [day.on for day in plan.days] == [MONDAY]


def test_nothing_to_print_is_no_day():
    assert fill_days([], first_on=MONDAY, seconds_a_day=100).days == ()
