"""The days of the demonstration show: about as many print days as in life, and in time whenever it is started."""

from collections import defaultdict
from datetime import date, timedelta
from statistics import median_low

import pytest

from campaign.demonstration.folder import write_demonstration_folder
from campaign.measures.workdays import public_holidays
from campaign.planning.days.lead_time import lead_days_available
from campaign.planning.days.schedule import ShowDays, plan_days
from campaign.showfolder import read_show_folder

HOLIDAYS = public_holidays("DE", years=(2026, 2027))
STARTS = [date(2026, 1, 5) + timedelta(days=24 * n + n % 7) for n in range(15)]


def printer_seconds_of(folder):
    """Every work once in a size from the middle of its list, and all prints."""
    areas_mm2 = defaultdict(list)
    for size in folder.sizes:
        areas_mm2[size.work_code].append(size.width_mm * size.height_mm)
    prints_mm2 = sum(edition.width_mm * edition.height_mm * edition.copies for edition in folder.editions)
    area_mm2 = sum(map(median_low, areas_mm2.values())) + prints_mm2
    return -(-area_mm2 * folder.settings.printer_seconds_per_m2 // 1_000_000), len(areas_mm2)


def days_of(folder, *, today):
    settings = folder.settings
    seconds, _ = printer_seconds_of(folder)
    return ShowDays(
        today_on=today,
        opens_on=settings.opens_at.date(),
        closes_on=settings.closes_at.date(),
        is_launched=True,
        hang_on=settings.hang_on,
        opening_on=settings.opening_at.date(),
        posting_by_on=settings.posting_by_on,
        payout_days=settings.payout_days,
        material_days=settings.material_days,
        proof_days=settings.proof_days,
        printer_seconds=seconds,
        print_seconds_a_day=settings.print_hours_milli * 3600 // 1000,
        drying_hours=settings.drying_hours,
        framing_days=max(finish.lead_days for finish in folder.finishes),
        days_off=HOLIDAYS | {closed.day_on for closed in folder.closed_days},
    )


@pytest.mark.parametrize("today", STARTS, ids=str)
def test_twenty_seven_prints_and_the_edition_take_about_nine_days_and_are_in_time(tmp_path, today):
    """Common practice, no source: a home studio prints 27 exhibition prints in about nine days."""
    folder = read_show_folder(write_demonstration_folder(tmp_path, today=today, with_pictures=False))
    days = days_of(folder, today=today)
    assert printer_seconds_of(folder)[1] == 27
    assert 8 <= days.print_days <= 10
    assert plan_days(days).late == ()
    assert lead_days_available(days) >= days.framing_days > 0
