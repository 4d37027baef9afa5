"""Which column of a bank's CSV file means what, and in which order its days are written."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

from campaign.statements.csv_sheet import CsvSheet
from campaign.statements.lines import is_plausible


class Meaning(StrEnum):
    """What a column can hold."""

    BOOKED_ON = "booked_on"
    VALUE_ON = "value_on"
    AMOUNT = "amount"
    CAME = "came"
    LEFT = "left"
    FEE = "fee"
    CURRENCY = "currency"
    NAME = "name"
    IBAN = "iban"
    REFERENCE = "reference"
    TEXT = "text"


ORDERS = ("ymd", "dmy", "mdy")


@dataclass(frozen=True, slots=True)
class Layout:
    """The headings of a file as they stand, the heading of each meaning, and the order of day, month and year."""

    headings: tuple[str, ...]
    columns: Mapping[Meaning, str]
    day_order: str

    def as_json(self) -> dict[str, Any]:
        """For storing."""
        return {"headings": list(self.headings), "columns": dict(self.columns), "day_order": self.day_order}

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> "Layout":
        """What `as_json` made."""
        columns = {Meaning(name): heading for name, heading in kept["columns"].items()}
        return cls(tuple(kept["headings"]), columns, kept["day_order"])


# Beginnings of headings, small letters, in the languages of the banks nearby; the first that fits wins.
_WORDS: dict[Meaning, tuple[str, ...]] = {
    Meaning.BOOKED_ON: (
        "booking date", "booked", "buchungstag", "buchungsdatum", "buchung", "date op", "date de comptab", "boekdatum",
        "data contabile", "fecha", "transaction date", "posting date", "completed date", "date", "datum", "data",
    ),
    Meaning.VALUE_ON: ("value date", "valuta", "wertstellung", "date de valeur", "data valuta", "fecha valor"),
    Meaning.AMOUNT: ("amount", "betrag", "umsatz", "montant", "importo", "importe", "bedrag", "sum"),
    Meaning.CAME: ("credit", "paid in", "money in", "gutschrift", "haben", "crédit", "avere", "entrate", "abono"),
    Meaning.LEFT: (
        "debit", "paid out", "money out", "lastschrift", "belastung", "soll", "débit", "dare", "uscite", "cargo",
    ),
    Meaning.FEE: ("fee", "charge", "gebühr", "spesen", "frais", "commission", "kosten"),
    Meaning.CURRENCY: ("currency", "währung", "devise", "monnaie", "valuta code", "divisa", "moneda", "munt", "ccy"),
    Meaning.NAME: (
        "name", "counterparty", "payer", "payee", "beneficiary", "auftraggeber", "beguenstigter", "begünstigter",
        "empfänger", "zahlungspflichtig", "zahlungsbeteiligt", "nom", "contrepartie", "naam", "controparte",
    ),
    Meaning.IBAN: ("iban", "counterparty account", "kontonummer", "account number", "compte", "tegenrekening"),
    Meaning.REFERENCE: ("reference", "referenz", "référence", "creditor reference", "betalingskenmerk", "riferimento"),
    Meaning.TEXT: (
        "remittance", "description", "details", "purpose", "verwendungszweck", "buchungstext", "text", "mitteilung",
        "libellé", "libelle", "communication", "omschrijving", "descrizione", "causale", "concepto", "memo",
    ),
}  # fmt: skip


def guess_layout(sheet: CsvSheet) -> Layout:
    """
    What the columns seem to mean, by their headings; a start for the person who knows.

    Returns: a layout that may lack columns; its day order is empty where the days could be read in two ways.
    """
    free = list(sheet.headings)
    columns: dict[Meaning, str] = {}
    # Value days before booking days, and in and out before the amount: their headings often hold the other's word.
    for meaning in (Meaning.VALUE_ON, *(one for one in Meaning if one is not Meaning.VALUE_ON)):
        found = _fitting(free, words=_WORDS[meaning])
        if found:
            columns[meaning] = found
            free.remove(found)
    if Meaning.AMOUNT in columns or not {Meaning.CAME, Meaning.LEFT} <= columns.keys():
        columns.pop(Meaning.CAME, None)
        columns.pop(Meaning.LEFT, None)
    booked = columns.get(Meaning.BOOKED_ON) or columns.get(Meaning.VALUE_ON)
    orders = day_orders(sheet.column(booked)) if booked else ()
    return Layout(sheet.headings, columns, orders[0] if len(orders) == 1 else "")


def layout_faults(layout: Layout) -> list[str]:
    """Sentences about what a layout still lacks; none for one that can be read with."""
    columns, faults = layout.columns, []
    if Meaning.BOOKED_ON not in columns:
        faults.append("Say which column holds the day of booking.")
    if Meaning.AMOUNT not in columns and not {Meaning.CAME, Meaning.LEFT} <= columns.keys():
        faults.append("Say which column holds the amount, or which two hold what came and what left.")
    if Meaning.AMOUNT in columns and {Meaning.CAME, Meaning.LEFT} & columns.keys():
        faults.append("Choose either one column for the amount, or two for what came and what left.")
    if len(set(columns.values())) < len(columns):
        faults.append("One column can mean one thing only.")
    if layout.day_order not in ORDERS:
        faults.append("Say in which order day, month and year stand.")
    return faults


def day_orders(texts: Iterable[str]) -> tuple[str, ...]:
    """
    The orders in which every day of a column can be read; of orders that read all days alike only the first.

    Points stand between days that begin with the day, everywhere; slashes and hyphens tell nothing.
    """
    days = [text for text in texts if _numbers(text)]
    readings: dict[tuple[date | None, ...], str] = {}
    has_points = bool(days) and all("." in text[:6] for text in days)
    for order in ORDERS[:2] if has_points else ORDERS:
        read = tuple(read_day(text, order=order) for text in days)
        if days and None not in read:
            readings.setdefault(read, order)
    return tuple(readings.values())


def read_day(text: str, *, order: str) -> date | None:
    """
    A day whose numbers stand in `order`: 2026-03-10, 10.03.26, 20260310, 10/03/2026 14:05. None if it is none.

    >>> read_day("10.03.26", order="dmy"), read_day("03/10/2026", order="mdy"), read_day("31.02.2026", order="dmy")
    (datetime.date(2026, 3, 10), datetime.date(2026, 3, 10), None)
    """
    numbers = _numbers(text)
    if not numbers:
        return None
    if len(numbers) == 1:
        cuts = (4, 6) if order == "ymd" else (2, 4)
        numbers = [numbers[0][: cuts[0]], numbers[0][cuts[0] : cuts[1]], numbers[0][cuts[1] :]]
    parts = dict(zip(order, numbers, strict=True))
    # A year of two digits stands last everywhere.
    if len(parts["y"]) not in ((4,) if order == "ymd" else (2, 4)) or len(parts["m"]) > 2 or len(parts["d"]) > 2:
        return None
    year = int(parts["y"]) + (2000 if len(parts["y"]) == 2 else 0)
    try:
        day = date(year, int(parts["m"]), int(parts["d"]))
    except ValueError:
        return None
    return day if is_plausible(day) else None


_PARTS = re.compile(r"(\d{1,4})[-./ ] ?(\d{1,2})[-./ ] ?(\d{1,4})(?:[T ,].*)?", re.ASCII)


def _numbers(text: str) -> list[str]:
    plain = text.strip()
    if re.fullmatch(r"\d{8}", plain, re.ASCII):
        return [plain]
    found = _PARTS.fullmatch(plain)
    return list(found.groups()) if found else []


def _fitting(headings: Sequence[str], *, words: tuple[str, ...]) -> str:
    for word in words:
        for heading in headings:
            if heading.casefold().startswith(word):
                return heading
    for word in words:
        for heading in headings:
            if len(word) > 4 and word in heading.casefold():
                return heading
    return ""
