"""What the days of a show leave for printing and for finishing: the limits that its schedule sets to a plan."""

from dataclasses import dataclass

from campaign.models import Show
from campaign.planning.days.lead_time import lead_days_available, printer_seconds_available
from campaign.queries.show_days import read_show_days


@dataclass(frozen=True, slots=True)
class DayLimits:
    """`lead_days` working days for finishing after all printing; `printer_seconds` on all print days there are."""

    lead_days: int
    printer_seconds: int


def read_limits(show: Show, *, printer_seconds: int | None = None) -> DayLimits:
    """
    The limits by the show's dates, if printing takes `printer_seconds`, as the show has it by default. One query.

    The campaign closes on its day; then come pay-out, materials and proof. Holidays of the venue's country and the
    artist's closed days do not count. Neither today nor what is done moves the limits, so that a plan stays the same
    while time goes by.
    """
    seconds = show.printer_seconds if printer_seconds is None else printer_seconds
    days = read_show_days(show, today_on=show.hang_on, printer_seconds=seconds, framing_days=0)
    return DayLimits(lead_days=lead_days_available(days), printer_seconds=min(seconds, printer_seconds_available(days)))
