"""A calendar file (iCalendar, RFC 5545); the only file that knows the library."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import icalendar

PRODUCT = "-//Wallful//Schedule of a show//EN"
REFRESH = timedelta(hours=6)


@dataclass(frozen=True, slots=True)
class AllDay:
    """An entry that takes whole days, both ends included; `sequence` and `changed_at` rise when it changes."""

    uid: uuid.UUID
    first_on: date
    last_on: date
    summary: str
    words: str
    sequence: int
    written_at: datetime
    changed_at: datetime


def write_calendar(*, name: str, entries: Iterable[AllDay]) -> bytes:
    """
    The calendar `name` with its entries; the same entries give the same bytes.

    Notes: whole days only, so no time zone is needed; entries leave the day free, other appointments stand beside
        them. UTF-8, lines end in CRLF and are folded by the library.
    """
    calendar = icalendar.Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)
    calendar.add("refresh-interval", REFRESH, parameters={"value": "DURATION"})
    for entry in entries:
        calendar.add_component(_event(entry))
    return bytes(calendar.to_ical())


def _event(entry: AllDay) -> icalendar.Event:
    event = icalendar.Event()
    event.add("uid", str(entry.uid))
    event.add("dtstamp", entry.changed_at.astimezone(UTC))
    event.add("created", entry.written_at.astimezone(UTC))
    event.add("last-modified", entry.changed_at.astimezone(UTC))
    event.add("sequence", entry.sequence)
    event.add("dtstart", entry.first_on)
    event.add("dtend", entry.last_on + timedelta(days=1))  # the end is the first day that is free again
    event.add("summary", entry.summary)
    if entry.words:
        event.add("description", entry.words)
    event.add("transp", "TRANSPARENT")
    return event
