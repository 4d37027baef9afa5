"""What the calendar of a show says: the latest day for every step, the fixed days and the dates set by others."""

from dataclasses import dataclass
from datetime import date

from campaign.measures.money import format_minor
from campaign.models import Deadline, Show
from campaign.planning.days.schedule import Schedule, ScheduleItem
from campaign.queries.schedule import read_schedule, settled_basis
from campaign.queries.standing import read_standing

LONGEST_SUMMARY = 200


@dataclass(frozen=True, slots=True)
class Said:
    """One item as the calendar should say it; `key` names it for good."""

    key: str
    first_on: date
    last_on: date
    summary: str
    words: str = ""


def list_said(show: Show) -> tuple[Said, ...]:
    """
    Every item of the calendar, in the order of its days. Nothing in it depends on today.

    Steps stand on the latest days they may take, for the fullest show that the levels promise, so that entries stay
    where they are while orders come in; what is done stands where it was.
    """
    opens_on = show.opens_at.astimezone(show.zone).date()
    schedule, _ = read_schedule(read_standing(show), today_on=opens_on, basis=settled_basis(show))
    said = [_of_item(item, show=show, schedule=schedule) for item in schedule.items]
    said.append(Said("last-day", show.last_day_on, show.last_day_on, f"Last day ({show.title})"))
    said += [_of_deadline(deadline, show=show) for deadline in show.deadlines.all()]
    return tuple(sorted(said, key=lambda one: (one.first_on, one.key)))


def _of_item(item: ScheduleItem, *, show: Show, schedule: Schedule) -> Said:
    days, latest = schedule.days, f"{item.latest_last_on:%-d %B %Y} at the latest, for everything to be ready."
    first_on, last_on, name, words = item.latest_first_on, item.latest_last_on, item.name, _words(item)
    if item.code == "launch":
        first_on, last_on, words = days.opens_on, days.opens_on, latest
    elif item.code == "campaign":
        closes_on = days.closed_on or days.closes_on
        first_on, last_on, name, words = closes_on, closes_on, "Orders close", latest
    elif item.code == "opening":
        words = f"{show.opening_at.astimezone(show.zone):%H:%M}, {show.venue_name}"
    elif item.is_done:
        first_on, last_on, words = item.first_on, item.last_on, "Done."
    return Said(item.code, first_on, last_on, _summary(name, show=show), words)


def _words(item: ScheduleItem) -> str:
    if item.code == "hang":
        return ""
    if item.counted is None:
        return "At the latest."
    days = "1 day" if item.length_days == 1 else f"{item.length_days} {item.counted}"
    return f"{days}, on these days at the latest."


def _of_deadline(deadline: Deadline, *, show: Show) -> Said:
    state = " (done)" if deadline.is_done else ""
    parts = [deadline.get_kind_display().capitalize()]
    if deadline.money_minor is not None:
        parts.append(format_minor(deadline.money_minor, currency=show.currency, locale=show.locale))
    parts += [deadline.note] if deadline.note else []
    return Said(
        f"deadline-{deadline.uid}", deadline.on, deadline.on,
        _summary(f"{deadline.name}{state}", show=show), "\n".join(parts),
    )  # fmt: skip


def _summary(name: str, *, show: Show) -> str:
    return f"{name} ({show.title})"[:LONGEST_SUMMARY]
