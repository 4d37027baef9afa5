"""Moments as people write them: a day and a time of day in the show's own time zone."""

import re
import zoneinfo
from datetime import UTC, datetime, time, timedelta

from campaign.showfolder.fields import Context, FieldRefused, Reader, day

_TIME = re.compile(
    r"(?P<day>.*?)[\s,T]+(?:at\s+)?(?P<hour>\d{1,2})(?:[:.h](?P<minute>\d{2}))?(?::\d{2}(?:\.\d+)?)?"
    r"\s*(?P<half>am|pm)?\s*(?:h|hrs|uhr|o'clock)?(?P<offset>Z|[+-]\d{2}:?\d{2})?",
    re.IGNORECASE | re.DOTALL,
)
_MARKED = re.compile(r"\d[:.h]\d{2}|\d\s*(?:am|pm|h|hrs|uhr|o'clock)\b", re.IGNORECASE)


def moment(*, without_time: time | None) -> Reader:
    """
    An aware instant from "2026-05-15 18:00", "15 May 2026, 6 pm" or an ISO instant with its own offset.

    Parameters: without_time, the time of day meant where only a day stands there; None = the time must be written.
    """

    def read(cell: str, context: Context) -> datetime:
        zone = zoneinfo.ZoneInfo(context.time_zone)
        written = " ".join(cell.split())
        match = _TIME.fullmatch(written)
        if match is None or not _has_time(written, match):
            if without_time is None:
                raise FieldRefused("Write the day and the time, such as 2026-05-15 18:00.")
            return datetime.combine(day(written, context), without_time, tzinfo=zone)
        found = datetime.combine(day(match["day"], context), _time(match), tzinfo=zone)
        if match["offset"]:
            found = _with_offset(found, match["offset"].upper()).astimezone(zone)
        return _existing(found)

    return read


def _with_offset(found: datetime, offset: str) -> datetime:
    try:
        return datetime.fromisoformat(f"{found:%Y-%m-%dT%H:%M}{offset}")
    except ValueError:
        raise FieldRefused("The offset from UTC cannot be meant; write one such as +02:00, or none.") from None


def _has_time(cell: str, match: re.Match[str]) -> bool:
    # The year of "15 May 2026" must not be taken for twenty hours and twenty-six minutes.
    return bool(_MARKED.search(cell[len(match["day"]) :]))


def _time(match: re.Match[str]) -> time:
    hour, minute = int(match["hour"]), int(match["minute"] or 0)
    half = (match["half"] or "").casefold()
    if half and not 1 <= hour <= 12:
        raise FieldRefused("With am and pm the hour runs from 1 to 12; write 6 pm or 18:00.")
    if half:
        hour = hour % 12 + (12 if half == "pm" else 0)
    if hour > 23 or minute > 59:
        raise FieldRefused("There is no such time of day; write it from 00:00 to 23:59.")
    return time(hour, minute)


def _existing(found: datetime) -> datetime:
    """Refuse an hour that the clock skips in spring: it would mean a different moment than it says."""
    there_and_back = found.astimezone(UTC).astimezone(found.tzinfo)
    if there_and_back.replace(tzinfo=None) != found.replace(tzinfo=None):
        later = (found + timedelta(hours=1)).strftime("%H:%M")
        raise FieldRefused(f"The clocks skip this hour on that day; write {later} instead.")
    return found
