"""Calendar dates as people type them; a date with two meanings is refused, never guessed."""

import re
from datetime import date

from campaign.measures.errors import MeasureError

MONTHS = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
]
WEEKDAYS = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
EXPECTED = "a date such as 2026-05-15 or 15 May 2026"
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[t ]00:00(?::00)?)?")
_DOTTED = re.compile(r"(\d{1,2})\. ?(\d{1,2})\. ?(\d{4})")
_SLASHED = re.compile(r"(\d{1,2})[/-](\d{1,2})[/-](\d{4})")
_DAY_FIRST = re.compile(r"(\d{1,2})(?:st|nd|rd|th|\.)?[ -]*(?:of )?([a-z]{3,9})\.?,?[ -]*(\d{4})")
_MONTH_FIRST = re.compile(r"([a-z]{3,9})\.? ?(\d{1,2})(?:st|nd|rd|th)?,? +(\d{4})")
_WEEKDAY = re.compile(r"([a-z]{3,9})\.?,? +(.+)")


def parse_date(text: str) -> date:
    """
    Read a date: 2026-05-15 · 15.05.2026 · 15 May 2026 · May 15, 2026 · Fri 15 May 2026 · 15/05/2026.

    Raises: MeasureError for a day that does not exist, a weekday that does not fit, a year of two digits,
        and for 05/06/2026, which is May to some readers and June to others.
    Notes: points mean day first everywhere; slashes are read only when one order is possible.

    >>> parse_date("15.05.2026")
    datetime.date(2026, 5, 15)
    """
    plain = " ".join(text.split()).casefold()
    weekday, rest = _split_weekday(plain)
    found = _numbers(text, rest)
    try:
        day = date(*found)
    except ValueError:
        raise MeasureError(text, EXPECTED, reason="which is not a day of the calendar") from None
    if weekday is not None and day.weekday() != weekday:
        actual = WEEKDAYS[day.weekday()].title()
        raise MeasureError(text, EXPECTED, reason=f"but that day is a {actual}")
    return day


def _split_weekday(plain: str) -> tuple[int | None, str]:
    match = _WEEKDAY.fullmatch(plain)
    number = _index(match.group(1), WEEKDAYS) if match else None
    return (None, plain) if match is None or number is None else (number, match.group(2))


def _index(word: str, names: list[str]) -> int | None:
    """Position of the name that `word` abbreviates; three letters are always enough."""
    return next((i for i, name in enumerate(names) if len(word) >= 3 and name.startswith(word)), None)


def _numbers(text: str, plain: str) -> tuple[int, int, int]:
    """Year, month, day from one of the accepted spellings."""
    if match := _ISO.fullmatch(plain):
        year, month, day = match.groups()
        return int(year), int(month), int(day)
    if match := _DOTTED.fullmatch(plain):
        day, month, year = match.groups()
        return int(year), int(month), int(day)
    if match := _SLASHED.fullmatch(plain):
        return _slashed(text, *(int(part) for part in match.groups()))
    if match := _DAY_FIRST.fullmatch(plain):
        day, word, year = match.groups()
    elif match := _MONTH_FIRST.fullmatch(plain):
        word, day, year = match.groups()
    else:
        raise MeasureError(text, EXPECTED)
    number = _index("september" if word == "sept" else word, MONTHS)
    if number is None:
        raise MeasureError(text, EXPECTED, reason=f"and “{word}” is not a month")
    return int(year), number + 1, int(day)


def _slashed(text: str, first: int, second: int, year: int) -> tuple[int, int, int]:
    if first <= 12 and second <= 12 and first != second:
        raise MeasureError(text, EXPECTED, reason="which some read day first and some month first")
    return (year, first, second) if second > 12 else (year, second, first)


def months_later(day: date, months: int) -> date:
    """
    The same day so many months on, or that month's last day.

    >>> months_later(date(2026, 1, 31), 1)
    datetime.date(2026, 2, 28)
    """
    years, month = divmod(day.month - 1 + months, 12)
    last = (date(day.year + years + (month == 11), (month + 1) % 12 + 1, 1) - date.resolution).day
    return date(day.year + years, month + 1, min(day.day, last))
