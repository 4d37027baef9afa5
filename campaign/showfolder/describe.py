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
        if value in ("", None, (), 0):
            continue
        name, _, suffix = field.name.rpartition("_")
        words = _with_unit(value, suffix, unit=unit, currency=currency)
        said.append(f"{(name if words else field.name).replace('_', ' ')} {words or _plain(value)}")
    return "; ".join(said)


def _with_unit(value: object, suffix: str, *, unit: str, currency: str) -> str:
    if isinstance(value, bool) or not isinstance(value, int):
        return ""
    match suffix:
        case "mm":
            return format_length(value, unit=unit)
        case "minor":
            return format_minor(value, currency=currency)
        case "bp":
            return f"{value / 100:g} %"
        case "g" | "unit":
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
        return f"{value:%Y-%m-%d %H:%M %Z}"
    if isinstance(value, (date, int, StrEnum)):
        return str(value)
    if isinstance(value, Path):
        return value.name
    text = " ".join((", ".join(map(str, value)) if isinstance(value, tuple) else str(value)).split())
    return text if len(text) <= _LONGEST_TEXT else text[: _LONGEST_TEXT - 1] + "…"
