"""What the days of a show leave for printing and for finishing."""

from datetime import date, timedelta

from campaign.queries.lead_time import read_limits
from campaign.queries.plan_request import edition_printer_seconds, read_plan_request

HOUR = 3600


def test_days_for_finishing_are_counted_in_the_venues_country(show):
    # Closes on 1 April 2026; 5 days for materials, a proof day and 200 000 s at 4 h a day are 20 working days and, with
    # Easter, end on 4 May; the 5th is for drying. Then 6 to 13 May.
    assert read_limits(show).lead_days == 6
    show.closed_days.create(day_on=date(2026, 5, 12), note="fair")
    assert read_limits(show).lead_days == 5
    show.country = "TA"  # no calendar is known: Good Friday, Easter Monday and 1 May are working days
    assert read_limits(show).lead_days == 8


def test_what_is_on_the_way_before_printing_shortens_the_days(show):
    show.payout_days, show.material_days, show.proof_days = 7, 7, 2
    assert read_limits(show).lead_days == 0
    show.material_days = 0  # printing ends on 30 April, drying on 1 May
    assert read_limits(show).lead_days == 8


def test_printer_time_ends_with_the_days_there_are(show):
    assert read_limits(show).printer_seconds == 200_000
    # 14 April to 12 May without 1 May are 20 working days, the 13th is for drying.
    assert read_limits(show, printer_seconds=999 * HOUR).printer_seconds == 20 * 4 * HOUR
    show.print_hours_milli = 1_500
    assert read_limits(show).printer_seconds == 20 * 1.5 * HOUR


def test_neither_today_nor_what_is_done_moves_the_limits(show):
    before = read_limits(show)
    show.done_steps.create(step="printing", begun_on=date(2026, 4, 1), done_on=date(2026, 4, 2))
    show.state, show.closed_at = "closed", show.closes_at - timedelta(days=9)
    assert read_limits(show) == before


def test_the_request_offers_only_what_can_be_ready(show):
    show.print_hours_milli = 1_500
    request = read_plan_request(show)
    assert request.lead_days == read_limits(show).lead_days == 0
    assert request.printer_seconds == 30 * HOUR - edition_printer_seconds(show)


def test_reading_the_limits_is_one_query(show, django_assert_num_queries):
    with django_assert_num_queries(1):
        read_limits(show)
