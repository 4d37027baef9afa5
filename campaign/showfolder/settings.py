"""The settings file, TOML or a sheet of two columns, into one row. Its keys are in `settings_columns.py`."""

import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from campaign.showfolder.entries import Entry, read_cells
from campaign.showfolder.fields import Context
from campaign.showfolder.headings import Column, nearest, plain_words
from campaign.showfolder.rows import Outcome, SettingsRow, Verdict
from campaign.showfolder.settings_columns import COLUMNS, FIRST, REST, slug_of
from campaign.showfolder.sheets import FileRefused, Sheet, decode_text

_NAMES = {
    plain_words(spelling): column.name for column in COLUMNS.values() for spelling in (column.name, *column.aliases)
}
# Sections that only group keys; every other section's name belongs to the meaning ("venue name").
_GROUPS = {"show", "settings", "dates", "campaign", "orders", "money", "shares", "pay", "payment", "room", "printer",
           "studio", "walls", "hanging", "hooks", "schedule", "rules"}  # fmt: skip

# our name of a setting → field of SettingsRow
FIELDS = {
    "code": "code",
    "title": "title",
    "artist": "artist",
    "contact": "contact",
    "email": "email",
    "statement": "statement",
    "cautions": "cautions",
    "language": "locale",
    "length unit": "length_unit",
    "currency": "currency",
    "country": "country",
    "time zone": "time_zone",
    "venue name": "venue_name",
    "venue address": "venue_address",
    "studio address": "studio_address",
    "hanging date": "hang_on",
    "opening": "opening_at",
    "last day": "last_day_on",
    "campaign opens": "opens_at",
    "campaign closes": "closes_at",
    "cancel until": "cancel_until_on",
    "posting by": "posting_by_on",
    "hold days": "hold_days",
    "reminder days": "reminder_days",
    "offer hours": "offer_hours",
    "minimum": "minimum_minor",
    "below minimum": "below_minimum",
    "commission": "commission_bp",
    "set aside": "set_aside_bp",
    "payment fee": "fee_bp",
    "payment fee fixed": "fee_fixed_minor",
    "wall prices rounded to": "sale_rounding_minor",
    "contingency": "contingency_bp",
    "minimum gap": "min_gap_mm",
    "centre line": "centre_mm",
    "printer hours": "printer_seconds",
    "printer speed": "printer_seconds_per_m2",
    "series share finish": "series_share_finish",
    "most finishes": "most_finishes",
    "old prices before": "old_prices_before_on",
    "two hooks from": "two_hooks_from_mm",
    "two hooks from weight": "two_hooks_from_g",
    "hook rating": "hook_rating_g",
    "hook margin": "hook_margin",
    "print hours a day": "print_hours_milli",
    "proof days": "proof_days",
    "drying hours": "drying_hours",
    "payout days": "payout_days",
    "material days": "material_days",
    "iban": "iban",
    "bic": "bic",
    "account holder": "account_holder",
    "cheque payee": "cheque_payee",
    "cash note": "cash_note",
}


@dataclass(frozen=True, slots=True)
class Pair:
    """One key and its value as written, with the row it stands in. section: the TOML section's name, "" if none."""

    number: int | None
    key: str
    value: str
    section: str = ""


@dataclass(frozen=True, slots=True)
class SettingsReading:
    """row: None when anything was refused. entries: one per known key, by our name. context: for the tables."""

    label: str
    row: SettingsRow | None
    entries: Mapping[str, Entry]
    verdicts: tuple[Verdict, ...]
    context: Context


def toml_pairs(data: bytes) -> tuple[Pair, ...]:
    """
    Keys and values of a TOML file, a section's name put before its keys ("venue name").

    Raises: FileRefused, with the place where the file breaks the rules.
    """
    text = decode_text(data)
    try:
        document = tomllib.loads(text.replace("\r\n", "\n"))
    except (ValueError, RecursionError) as fault:
        place = re.search(r"\(at (line \d+, column \d+)\)", str(fault))
        where = f" at {place.group(1)}" if place else ""
        sentence = f'The settings cannot be read{where}; text stands in quotation marks: title = "…".'
        raise FileRefused(sentence) from fault
    rows = _toml_rows(text)
    return tuple(
        Pair(number=rows.get(path), key=path[-1], value=value, section=" ".join(path[:-1]))
        for path, value in _flatten(document, ())
    )


def sheet_pairs(sheet: Sheet) -> tuple[Pair, ...]:
    """Keys and values of a sheet: the first filled cell of a row and the cells behind it."""
    pairs: list[Pair] = []
    for line in sheet.lines:
        filled = [cell for cell in line.cells if cell]
        if not filled or filled[0].startswith("#"):
            continue
        key = filled[0].rstrip(":= ")
        if len(filled) > 1 and plain_words(key) in {"key", "setting", "name", "what"} and not pairs:
            continue  # a row of headings above the two columns
        value = filled[1] if len(filled) > 1 else ""
        if sheet.is_text and len(filled) > 2:
            value = ", ".join(filled[1:])  # a comma inside the text that nobody put into quotation marks
        pairs.append(Pair(number=line.number, key=key, value=value))
    return tuple(pairs)


def read_settings(pairs: tuple[Pair, ...], *, label: str) -> SettingsReading:
    """
    Pairs into the settings row.

    Returns: a refusal for every key that is missing, doubled or unreadable, a note for every unknown one; the context
        says currency, time zone and unit of length even when other keys were refused.
    """
    known, verdicts = _sort_pairs(pairs, label=label)
    values: dict[str, Any] = {}
    context = Context(time_zone="UTC")
    for columns in (FIRST, REST):
        for column in columns:
            pair = known.get(column.name, Pair(number=None, key=column.name, value=""))
            entry = Entry(label, pair.number, {}, {column.name: pair.value}, {column.name: pair.key})
            found = read_cells(entry, [column], context=_always(context))
            if isinstance(found, Entry):
                values[column.name] = found.values[column.name]
            else:
                verdicts.extend(found)
        context = replace(
            context,
            currency=values.get("currency", "EUR"),
            time_zone=values.get("time zone", "UTC"),
            length_unit=values.get("length unit", ""),
        )
    refused = any(verdict.outcome is Outcome.REFUSED for verdict in verdicts)
    entries = {
        name: Entry(label, pair.number, values, {name: pair.value}, {name: pair.key}) for name, pair in known.items()
    }
    return SettingsReading(label, None if refused else _settings_row(values), entries, tuple(verdicts), context)


def _sort_pairs(pairs: tuple[Pair, ...], *, label: str) -> tuple[dict[str, Pair], list[Verdict]]:
    known: dict[str, Pair] = {}
    verdicts: list[Verdict] = []
    for pair in pairs:
        name = _name_of(pair)
        if name is None:
            close = nearest(pair.key, [spelling for spelling in COLUMNS if spelling not in known])
            hint = f"did you mean “{close}”?" if close else "rename it if it is meant to be read."
            sentence = f"This setting is not known and is left out; {hint}"
            verdicts.append(Verdict(label, pair.number, Outcome.NOTED, sentence, column=pair.key, found=pair.value))
        elif name == "cautions" and name in known:
            known[name] = replace(known[name], value=f"{known[name].value}\n{pair.value}")
        elif name in known:
            sentence = "This setting stands there twice; keep one of the two."
            verdicts.append(Verdict(label, pair.number, Outcome.REFUSED, sentence, column=pair.key, found=pair.value))
        else:
            known[name] = pair
    return known, verdicts


def _name_of(pair: Pair) -> str | None:
    """Our name for a key; behind the name of a mere group ("dates opening") the key alone is enough."""
    found = _NAMES.get(plain_words(f"{pair.section} {pair.key}"))
    if found is None and plain_words(pair.section) in _GROUPS:
        found = _NAMES.get(plain_words(pair.key))
    return found


def _always(context: Context) -> Callable[[Column], Context]:
    return lambda _: context


def _flatten(node: Mapping[str, Any], path: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], str]]:
    for key, value in node.items():
        if isinstance(value, dict):
            yield from _flatten(value, (*path, key))
        else:
            yield (*path, key), _plain(value)


def _plain(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return "\n".join(_plain(part) for part in value)
    if isinstance(value, datetime):
        return value.isoformat(" ", "minutes")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return format(Decimal(repr(value)), "f")
    return str(value).strip()


def _toml_rows(text: str) -> dict[tuple[str, ...], int]:
    """Where each key stands, as a text editor counts; keys written in ways not foreseen here are simply absent."""
    rows: dict[tuple[str, ...], int] = {}
    section: tuple[str, ...] = ()
    for number, line in enumerate(text.splitlines(), start=1):
        header = re.match(r"\s*\[([^\[\]]+)\]", line)
        key = re.match(r"\s*([\w.\"' -]+?)\s*=", line)
        if header:
            section = _key_parts(header.group(1))
        elif key:
            rows.setdefault((*section, *_key_parts(key.group(1))), number)
    return rows


def _key_parts(dotted: str) -> tuple[str, ...]:
    return tuple(part.strip().strip("\"'") for part in dotted.split("."))


def _settings_row(values: Mapping[str, Any]) -> SettingsRow:
    fields = {field: values[column] for column, field in FIELDS.items()}
    fields["code"] = fields["code"] or slug_of(fields["title"]) or "show"
    fields["contact"] = fields["contact"] or fields["artist"]
    fields["length_unit"] = fields["length_unit"] or "cm"
    return SettingsRow(**fields)
