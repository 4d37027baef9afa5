"""The page of the schedule: items, deadlines, the drawing and what can still be done."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from itertools import groupby
from typing import Any

from campaign.drawing.schedule import DayMark, DrawnSchedule, draw_schedule
from campaign.models import ClosedDay, Deadline, Show
from campaign.planning.days.remedies import explain_lateness
from campaign.planning.days.schedule import OWN_STEPS, Schedule, plan_days
from campaign.queries.cards import read_payout_days
from campaign.queries.show_days import holidays_of, knows_holidays, read_progress, read_show_days
from campaign.queries.standing import Standing, read_standing
from campaign.queries.workload import Basis, Workload, list_smaller, read_workload

BASES: tuple[Basis, ...] = ("full", "paid", "now")


@dataclass(frozen=True, slots=True)
class DeadlineLine:
    """A date set by others and how far away it is."""

    deadline: Deadline
    days_left: int

    @property
    def is_past(self) -> bool:
        """True when the day has gone by and nothing was handed in."""
        return self.days_left < 0 and not self.deadline.is_done


@dataclass(frozen=True, slots=True)
class ClosedStretch:
    """Closed days that follow each other with the same note."""

    first_on: date
    last_on: date
    note: str


@dataclass(frozen=True, slots=True)
class SchedulePage:
    """Everything that the page says; `basis` names what the work is reckoned for."""

    schedule: Schedule
    basis: Basis
    workload: Workload
    sentences: tuple[str, ...]
    deadlines: tuple[DeadlineLine, ...]
    closed: tuple[ClosedStretch, ...]
    knows_holidays: bool
    drawing: DrawnSchedule

    @property
    def print_days(self) -> int:
        """Working days of printing."""
        return self.schedule.days.print_days

    @property
    def decides_posting(self) -> bool:
        """True where the promise to backers leaves less room than hanging day."""
        posting = self.schedule.find("posting")
        return posting is not None and posting.is_critical

    @property
    def past_deadlines(self) -> int:
        """How many dates of others have gone by."""
        return sum(line.is_past for line in self.deadlines)


def read_schedule_page(show: Show, *, now: datetime, basis: str = "") -> SchedulePage:
    """The page of `show` for what is asked, or for what suits its state."""
    today_on = now.astimezone(show.zone).date()
    standing = read_standing(show)
    ground = _ground(show, asked=basis)
    schedule, workload = read_schedule(standing, today_on=today_on, basis=ground)
    offers = list_smaller(standing, workload=workload, basis=ground) if schedule.late else ()
    deadlines = tuple(DeadlineLine(one, (one.on - today_on).days) for one in show.deadlines.all())
    marks = [DayMark(line.deadline.on, line.deadline.name, line.is_past) for line in deadlines]
    return SchedulePage(
        schedule=schedule,
        basis=ground,
        workload=workload,
        sentences=explain_lateness(schedule, works=workload.works, offers=offers),
        deadlines=deadlines,
        closed=list_closed(show.closed_days.all()),
        knows_holidays=knows_holidays(show),
        drawing=draw_schedule(schedule, deadlines=marks),
    )


def read_schedule(standing: Standing, *, today_on: date, basis: Basis) -> tuple[Schedule, Workload]:
    """The dates on one of the grounds of `read_workload`."""
    show = standing.show
    workload = read_workload(standing, basis=basis)
    days = read_show_days(
        show,
        today_on=today_on,
        printer_seconds=workload.printer_seconds,
        framing_days=workload.framing_days,
        has_posting=workload.copies > 0,
        progress=read_progress(show),
    )
    # The dates of real payouts move these days alone: what a plan may offer follows the settings, so it stays true.
    return plan_days(replace(days, payout_days=read_payout_days(show))), workload


def settled_basis(show: Show) -> Basis:
    """What the dates are reckoned for when nobody asks otherwise: they must hold for the fullest promise."""
    return "full" if show.closed_at is None else "fixed"


def _ground(show: Show, *, asked: str) -> Basis:
    if show.closed_at is not None:
        return "fixed"
    return next((basis for basis in BASES if basis == asked), settled_basis(show))


def list_closed(days: Iterable[ClosedDay]) -> tuple[ClosedStretch, ...]:
    """Closed days as stretches: days in a row with the same note together."""
    numbered = enumerate(days)
    return tuple(
        ClosedStretch(stretch[0].day_on, stretch[-1].day_on, stretch[0].note)
        for _, group in groupby(numbered, key=lambda one: (one[1].day_on - timedelta(days=one[0]), one[1].note))
        if (stretch := [day for _, day in group])
    )


def closed_rows(show: Show) -> list[dict[str, Any]]:
    """What stands in the table of closed days at first."""
    return [
        {
            "first_on": one.first_on,
            "last_on": one.last_on if one.last_on > one.first_on else None,
            "note": one.note,
        }
        for one in list_closed(show.closed_days.all())
    ]


def step_start(show: Show) -> dict[str, date | None]:
    """What stands in the form of the steps at first."""
    begun = {step.code: step for step in read_progress(show)}
    ends = {"begun": "begun_on", "done": "done_on"}
    return {f"{code}_{end}": getattr(begun.get(code), field, None) for code in OWN_STEPS for end, field in ends.items()}


def list_holidays(show: Show) -> tuple[date, ...]:
    """Public holidays of the venue's country from the launch to the last day, for reading."""
    years = tuple(sorted({show.opens_at.year, show.last_day_on.year}))
    first_on = show.opens_at.astimezone(show.zone).date()
    return tuple(sorted(day for day in holidays_of(show.country, years) or () if first_on <= day <= show.last_day_on))
