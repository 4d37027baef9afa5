"""Tables into files; the only module that knows XlsxWriter."""

import csv
import io
from collections.abc import Iterable
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import xlsxwriter

from campaign.measures.money import currency_digits
from campaign.sheets.cells import Kind, Row, Table, Value, begins_formula, guard, pack

# Spreadsheets count days of 1900 wrongly; an earlier day is written as text.
FIRST_TRUE_DAY = date(1900, 3, 1)
# The same table gives the same bytes on any day.
MADE = datetime(2000, 1, 1, tzinfo=UTC)
LONGEST_CELL = 32_767
OPTIONS = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}


def write_csv(table: Table, rows: Iterable[Row]) -> bytes:
    """
    UTF-8 with its mark, commas, all text in quotation marks, numbers as numbers; text that begins like a formula gets
    an apostrophe in front, which `read_back` takes away.
    """
    file = io.StringIO(newline="")
    writer = csv.writer(file, quoting=csv.QUOTE_NONNUMERIC, lineterminator="\r\n")
    writer.writerow([column.heading for column in table.columns])
    for row in rows:
        writer.writerow(
            [_plain(value, kind=column.kind, table=table) for column, value in zip(table.columns, row, strict=True)]
        )
    return b"\xef\xbb\xbf" + file.getvalue().encode()


def _plain(value: Value, *, kind: Kind, table: Table) -> str | int | Decimal:
    """The value as CSV has it."""
    if kind == Kind.TEXT:
        return guard(str(value))
    return _typed(value, kind=kind, table=table)


def _typed(value: Value, *, kind: Kind, table: Table) -> str | int | Decimal:
    if kind == Kind.COUNT:
        assert isinstance(value, int)
        return value
    if kind == Kind.MONEY:
        assert isinstance(value, int)
        return Decimal(value).scaleb(-currency_digits(table.currency))
    if kind == Kind.FLAG:
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    return value.isoformat() if isinstance(value, date) else ""


def write_xlsx(table: Table, rows: Iterable[Row]) -> bytes:
    """
    One sheet with a fixed first row; text stays text, whatever it begins with, and is never a link.

    Raises: ValueError for text longer than a cell can hold.
    """
    file = io.BytesIO()
    book = xlsxwriter.Workbook(file, OPTIONS)
    book.set_properties({"created": MADE.replace(tzinfo=None)})
    sheet = book.add_worksheet(table.name[:31])
    digits = currency_digits(table.currency)
    formats = {
        "head": book.add_format({"bold": True, "text_wrap": True, "valign": "top"}),
        "money": book.add_format({"num_format": "#,##0" + ("." + "0" * digits if digits else "")}),
        "day": book.add_format({"num_format": "yyyy-mm-dd"}),
        "text": book.add_format({"num_format": "@"}),
        "quoted": book.add_format({"num_format": "@", "quote_prefix": True}),
    }
    for place, column in enumerate(table.columns):
        sheet.write_string(0, place, column.heading, formats["head"])
        sheet.set_column(place, place, 12 if column.kind in (Kind.COUNT, Kind.MONEY, Kind.DAY, Kind.FLAG) else 24)
    for number, row in enumerate(rows, start=1):
        for place, (column, value) in enumerate(zip(table.columns, row, strict=True)):
            _write_cell(sheet, number, place, value=value, kind=column.kind, table=table, formats=formats)
    sheet.freeze_panes(1, 0)
    book.close()
    return file.getvalue()


def _write_cell(
    sheet: Any, number: int, place: int, *, value: Value, kind: Kind, table: Table, formats: dict[str, Any]
) -> None:
    if kind in (Kind.COUNT, Kind.MONEY):
        sheet.write_number(
            number, place, _typed(value, kind=kind, table=table), formats["money"] if kind == Kind.MONEY else None
        )
        return
    if kind == Kind.DAY and isinstance(value, date) and value >= FIRST_TRUE_DAY:
        sheet.write_datetime(number, place, datetime(value.year, value.month, value.day), formats["day"])  # noqa: DTZ001
        return
    text = pack(str(value)) if kind == Kind.TEXT else str(_typed(value, kind=kind, table=table))
    if len(text) > LONGEST_CELL:
        raise ValueError(f"row {number} has a text of {len(text)} characters; a cell holds {LONGEST_CELL}")
    sheet.write_string(number, place, text, formats["quoted" if begins_formula(text) else "text"])
