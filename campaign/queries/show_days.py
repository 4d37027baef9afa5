"""From a show's rows to the days that its schedule depends on."""

import functools
from collections.abc import Iterable
from datetime import date

from campaign.measures.workdays import public_holidays
from campaign.models import ClosedDay, Show
from campaign.planning.days.schedule import Progress, ShowDays
from campaign.queries.prepared import Prepared

YEARS_AROUND = 1
_CLOSED_DAYS = Prepared(lambda show: ClosedDay.objects.filter(show=show).values_list("day_on"))


def read_days_off(show: Show) -> frozenset[date]:
    """Public holidays of the venue's country around the show, and the artist's closed days; one query."""
    closed = frozenset(day_on for (day_on,) in _CLOSED_DAYS(show.pk))
    ends = sorted({show.opens_at.year, show.last_day_on.year})
    years = range(ends[0] - YEARS_AROUND, ends[-1] + YEARS_AROUND + 1)
    return closed | (holidays_of(show.country, tuple(years)) or frozenset())


@functools.lru_cache(maxsize=64)
def holidays_of(country: str, years: tuple[int, ...]) -> frozenset[date] | None:
    """Public holidays of a country, those of single regions left out; None if its calendar is not known."""
    try:
        return public_holidays(country, years=years)
    except NotImplementedError:
        return None


def knows_holidays(show: Show) -> bool:
    """Whether the calendar of the venue's country is known."""
    return holidays_of(show.country, (show.hang_on.year,)) is not None


def read_progress(show: Show) -> tuple[Progress, ...]:
    """The steps that the artist has begun or done; one query."""
    return tuple(Progress(step.step, step.begun_on, step.done_on) for step in show.done_steps.all())


def read_show_days(
    show: Show,
    *,
    today_on: date,
    printer_seconds: int,
    framing_days: int,
    has_posting: bool = False,
    progress: Iterable[Progress] = (),
) -> ShowDays:
    """The days of `show` for so much printing and finishing; one query. `has_posting`: prints go out to backers."""
    zone = show.zone
    opens_on = show.opens_at.astimezone(zone).date()
    return ShowDays(
        today_on=today_on,
        opens_on=opens_on,
        closes_on=show.closes_at.astimezone(zone).date(),
        is_launched=show.state != Show.State.DRAFT and opens_on <= today_on,
        closed_on=show.closed_at.astimezone(zone).date() if show.closed_at else None,
        hang_on=show.hang_on,
        opening_on=show.opening_at.astimezone(zone).date(),
        posting_by_on=show.posting_by_on if has_posting else None,
        payout_days=show.payout_days,
        material_days=show.material_days,
        proof_days=show.proof_days,
        printer_seconds=printer_seconds,
        print_seconds_a_day=max(1, show.print_hours_milli * 3600 // 1000),
        drying_hours=show.drying_hours,
        framing_days=framing_days,
        days_off=read_days_off(show),
        progress=tuple(progress),
    )
