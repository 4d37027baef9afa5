"""One row in one line of words, so that a person sees how the numbers were understood."""

import dataclasses
from datetime import date, datetime
from enum import StrEnum
from pathlib import Path

from campaign.measures.lengths import format_length
from campaign.measures.money import format_minor
from campaign.measures.weights import format_weight
from campaign.showfolder.rows import SettingsRow

_LONGEST_TEXT = 60
_UNIT_PARTS = {"mm", "minor", "bp", "g", "milli", "percent", "seconds"}


def describe(row: object, *, settings: SettingsRow | None) -> str:
    """
    Every field of a frozen row that says something, in words.

    Notes: units come from the field names (`_mm`, `_minor`, `_bp`, `_g`, `_milli`), so a new field needs nothing here.
    """
    unit = settings.length_unit if settings else "mm"
    currency = settings.currency if settings else "EUR"
    said: list[str] = []
    for field in dataclasses.fields(row):  # type: ignore[arg-type]  # every row is a dataclass
        value = getattr(row, field.name)
        if value not in ("", None, (), 0):
            said.append(f"{name_in_words(field.name)} {in_words(field.name, value, unit=unit, currency=currency)}")
    return "; ".join(said)


def name_in_words(name: str) -> str:
    """
    A field's name without its unit.

    >>> name_in_words("mass_g_per_unit")
    'mass per unit'
    """
    return " ".join(part for part in name.removeprefix("is_").split("_") if part not in _UNIT_PARTS)


def in_words(name: str, value: object, *, unit: str, currency: str) -> str:
    """A field's value with the unit that its name carries, in the show's own unit of length and currency."""
    part = next((part for part in name.split("_") if part in _UNIT_PARTS), "")
    return _with_unit(value, part, unit=unit, currency=currency) or _plain(value)


def _with_unit(value: object, part: str, *, unit: str, currency: str) -> str:
    if isinstance(value, bool) or not isinstance(value, int):
        return ""
    match part:
        case "mm":
            return format_length(value, unit=unit)
        case "minor":
            return format_minor(value, currency=currency)
        case "bp":
            return f"{value / 100:g} %"
        case "g":
            return format_weight(value)
        case "milli":
            return f"{value / 1000:g}"
        case "percent":
            return f"{value} %"
        case "seconds":
            return f"{value / 3600:g} h"
    return ""


def _plain(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return f"{value:%Y-%m-%d %H:%M} {value.tzname() or ''}"
    if isinstance(value, (date, int, StrEnum)):
        return str(value)
    if isinstance(value, Path):
        return value.name
    words = ", ".join(map(str, value)) if isinstance(value, tuple) else str(value).replace("_", " ")
    text = " ".join(words.split())
    return text if len(text) <= _LONGEST_TEXT else text[: _LONGEST_TEXT - 1] + "…"
