"""What can be ready before hanging day: the limits that the schedule sets to a plan."""

from dataclasses import replace

from campaign.measures.workdays import is_workday
from campaign.planning.days.network import Activity, Counted
from campaign.planning.days.schedule import ShowDays, on_settings, plan_days
from campaign.planning.days.working_time import ONE_DAY, WorkingTime


def lead_days_available(days: ShowDays) -> int:
    """
    Working days for finishing between the end of drying and hanging day, if `printer_seconds` are printed before.

    Returns: 0 where there is no such day. Depends on the show's settings only: neither on today nor on what is done,
        so that a plan stays feasible while time goes by.
    """
    schedule = plan_days(replace(on_settings(days), framing_days=0))
    hang = next(item for item in schedule.items if item.code == "hang")
    before = [schedule.find(code) for code in ("drying", "printing", "proof", "materials", "payout", "campaign")]
    last_on = next(item.last_on for item in before if item is not None)
    free = WorkingTime(days.days_off).between(
        Activity("framing", 1, counted=Counted.WORKING_DAYS),
        (last_on + ONE_DAY).toordinal(),
        hang.latest_first_on.toordinal(),
    )
    return max(0, int(free))


def printer_seconds_available(days: ShowDays) -> int:
    """
    Printer time on all print days there are, if finishing takes `framing_days`.

    Returns: seconds on the working days between the proof and the last day on which drying may begin. Depends on the
        show's settings only.
    """
    one_print = replace(on_settings(days), printer_seconds=1)
    schedule = plan_days(one_print)
    printing = next(item for item in schedule.items if item.code == "printing")
    first_on, last_on = printing.first_on, printing.latest_last_on
    count = 0
    while first_on <= last_on:
        count += is_workday(first_on, days.days_off)
        first_on += ONE_DAY
    return count * days.print_seconds_a_day
