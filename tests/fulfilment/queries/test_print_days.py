"""The page of print days: everything once, in order of need, within the hours, with what is late and the real pace."""

from datetime import date, datetime, timedelta

import pytest
from django.utils import timezone

from campaign.models import ClosedDay
from fulfilment.queries.print_days import read_print_days
from fulfilment.queries.print_list import read_print_list
from fulfilment.services.production import tick_printed
from fulfilment.services.show_prints import spoil_show_prints, tick_show_prints
from tests.fulfilment.paper_scene import framed_show, lay, set_up, wall_prints
from tests.fulfilment.scene import LATER, edition_of, order

KEY = "0b1f6a0e-9a56-4f0e-8d0c-0d6f5f4d2d12"


@pytest.fixture
def busy(show):
    return framed_show(show)


def lines_of(page):
    return [line.key for day in page.days for one in day.goes for line in one.go.lines]


@pytest.mark.parametrize("is_laid", [True, False])
def test_everything_to_be_printed_comes_out_once_within_the_hours(busy, is_laid):
    if is_laid:
        set_up(busy, kind="sheets")
        lay(busy)
    page = read_print_days(busy, now=LATER)
    too_long = [line.key for go in page.too_long for line in go.lines]
    assert sorted(lines_of(page) + too_long) == sorted(line.key for line in read_print_list(busy).to_print)
    assert len(page.days) > 1
    for day in page.days:
        assert day.seconds <= 5_400 == page.seconds_a_day
        assert day.seconds == sum(line.seconds for one in day.goes for line in one.go.lines)


def test_long_framing_comes_first_and_copies_last(busy):
    page = read_print_days(busy, now=LATER)
    leads = [one.go.sheetful.framing_days for day in page.days for one in day.goes]
    assert leads == sorted(leads, key=lambda lead: (lead is None, -(lead or 0)))
    assert {4, None} <= set(leads)


def test_a_sheet_is_printed_in_one_go_and_opens_its_drawing(busy):
    set_up(busy, kind="sheets")
    lay(busy)
    page = read_print_days(busy, now=LATER)
    goes = [one.go for day in page.days for one in day.goes] + list(page.too_long)
    assert all(go.part for go in goes)
    assert len({(go.paper.code, go.part) for go in goes}) == len(goes)


def test_what_is_printed_today_leaves_less_of_the_day(busy):
    before = read_print_days(busy, now=LATER)
    line = before.days[-1].goes[-1].go.lines[0]
    tick_printed(edition=edition_of(busy), numbers=[line.copy[1]], now=LATER)
    page = read_print_days(busy, now=LATER)
    assert page.seconds_today == line.seconds
    assert page.days[0].on > LATER.date() or page.days[0].seconds + line.seconds <= 5_400
    assert line.key not in lines_of(page)
    assert read_print_days(busy, now=LATER + timedelta(days=1)).seconds_today == 0


def test_closed_days_and_weekends_have_no_prints(busy):
    first = read_print_days(busy, now=LATER).days[0].on
    ClosedDay.objects.create(show=busy, day_on=first, note="fair")
    days = [day.on for day in read_print_days(busy, now=LATER).days]
    assert first not in days
    assert all(day.weekday() < 5 for day in days)


def test_drying_of_the_paper_goes_before_that_of_the_show(busy):
    set_up(busy, drying_hours=72)
    lay(busy)
    page = read_print_days(busy, now=LATER)
    assert all(one.timed.dry_on == one.timed.printed_on + timedelta(days=4) for day in page.days for one in day.goes)


def test_what_is_not_ready_in_time_is_marked(busy):
    assert read_print_days(busy, now=LATER).late == ()
    busy.hang_on, busy.posting_by_on = LATER.date() + timedelta(days=4), LATER.date()
    late = read_print_days(busy, now=LATER).late
    assert any(one.is_late_for_hanging for one in late)
    assert all(one.is_late_for_posting for one in late if one.go.sheetful.framing_days is None)


def test_a_print_longer_than_the_day_is_named_and_not_forgotten(busy):
    busy.print_hours_milli = 300
    page = read_print_days(busy, now=LATER)
    assert page.too_long and all(go.seconds > 1_080 for go in page.too_long)


def test_the_real_pace_counts_walls_and_copies_together(busy):
    tick_show_prints(show=busy, chosen=wall_prints(busy)[:2], by="", now=LATER)
    tick_printed(edition=edition_of(busy), numbers=[1, 2], now=LATER + timedelta(days=1))
    page = read_print_days(busy, now=LATER + timedelta(days=1))
    left = len(read_print_list(busy).to_print)
    assert (page.pace.printed, page.pace.days, page.pace.left) == (4, 2, left)
    assert page.pace.done_on == (LATER + timedelta(days=1)).date() + timedelta(days=-(-left * 2 // 4))


def test_a_spoiled_print_is_reckoned_by_itself_until_it_has_a_place(busy):
    set_up(busy)
    lay(busy)
    first = wall_prints(busy)[0]
    tick_show_prints(show=busy, chosen=[first], by="", now=LATER)
    spoil_show_prints(show=busy, chosen=[first], note="", by="", request_key=KEY, now=LATER)
    page = read_print_days(busy, now=LATER)
    assert page.by_itself == 1
    assert lines_of(page).count("/".join(("wall", *first))) == 1


def test_a_show_without_prints_has_no_days(show):
    page = read_print_days(show, now=LATER)
    assert (page.days, page.last_on, page.pace.done_on) == ((), None, None)


def test_dates_are_those_of_the_shows_own_place(show):
    order(show, copies=1)
    show.time_zone = "Pacific/Auckland"
    evening = datetime(2026, 4, 6, 20, 0, tzinfo=timezone.get_fixed_timezone(0))
    assert read_print_days(show, now=evening).days[0].on == date(2026, 4, 7)


def test_the_page_reads_in_few_queries_whatever_the_number_of_prints(busy, django_assert_max_num_queries):
    set_up(busy)
    lay(busy)
    with django_assert_max_num_queries(17):
        read_print_days(busy, now=LATER)
