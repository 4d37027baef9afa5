"""Our own exports back into the values they were made from; a file from elsewhere is refused with a sentence."""

import csv
import io
import struct
import zipfile
import zlib
from collections.abc import Iterator
from datetime import UTC, date, datetime
from decimal import Decimal, InvalidOperation
from typing import Any

import openpyxl
from openpyxl.utils.exceptions import InvalidFileException

from campaign.measures.money import currency_digits
from campaign.sheets.cells import Column, Kind, Table, UnreadableSheet, Value, unguard, unpack

MAX_BYTES = 20_000_000
MAX_UNPACKED_BYTES = 200_000_000
# What openpyxl, its XML parser and zlib raise for damaged files.
_READER_FAULTS = (
    OSError, SyntaxError, ValueError, TypeError, LookupError, ArithmeticError, AttributeError, AssertionError,
    NotImplementedError, EOFError, RuntimeError, zipfile.BadZipFile, zlib.error, struct.error, InvalidFileException,
)  # fmt: skip
Cells = list[Any]


def read_back(data: bytes, *, table: Table) -> list[tuple[Value, ...]]:
    """
    The rows of an export, in the order of the file: exactly the values that `write_csv` or `write_xlsx` was given.

    Columns may stand in another order, and others may stand beside them; those are left out.
    Raises: UnreadableSheet, with the row and the column where it broke.
    """
    if len(data) > MAX_BYTES:
        raise UnreadableSheet(f"The file has {len(data) // 1_000_000} MB; an export has far less.")
    is_book = data[:4] == b"PK\x03\x04"
    lines = _book_lines(data) if is_book else _csv_lines(data)
    places = _places(next(lines, []), table=table)
    width = max(places.values()) + 1
    rows = []
    for number, cells in enumerate(lines, start=2):
        if not any(cell not in (None, "") for cell in cells):
            continue
        filled = [*cells, *[""] * (width - len(cells))]
        rows.append(
            tuple(
                _value(filled[places[column.heading]], column=column, number=number, table=table, is_book=is_book)
                for column in table.columns
            )
        )
    return rows


def _places(headings: Cells, *, table: Table) -> dict[str, int]:
    found = {str(heading): place for place, heading in reversed(list(enumerate(headings)))}
    missing = [column.heading for column in table.columns if column.heading not in found]
    if missing:
        raise UnreadableSheet(f"The column “{missing[0]}” is not there. This is no export of “{table.name}”.")
    return {column.heading: found[column.heading] for column in table.columns}


def _csv_lines(data: bytes) -> Iterator[Cells]:
    try:
        text = data.decode("utf-8-sig")
        csv.field_size_limit(MAX_BYTES)
        first = text.partition("\n")[0]
        delimiter = ";" if first.count(";") > first.count(",") else ","
        yield from csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    except (UnicodeDecodeError, csv.Error) as fault:
        raise UnreadableSheet("This is no CSV file in UTF-8. Choose the file as it was exported.") from fault


def _book_lines(data: bytes) -> Iterator[Cells]:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            if sum(entry.file_size for entry in archive.infolist()) > MAX_UNPACKED_BYTES:
                raise UnreadableSheet("The workbook is far too large inside to be an export.")
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        sheet.reset_dimensions()
        for row in sheet.iter_rows(values_only=True):
            yield list(row)
    except UnreadableSheet:
        raise
    except _READER_FAULTS as fault:
        raise UnreadableSheet("The workbook is damaged. Choose the file as it was exported.") from fault


def _value(cell: Any, *, column: Column, number: int, table: Table, is_book: bool) -> Value:
    if column.kind == Kind.TEXT:
        text = "" if cell is None else str(cell)
        return unpack(text) if is_book else unguard(text)
    try:
        return _typed(cell, kind=column.kind, currency=table.currency)
    except (ValueError, InvalidOperation, OverflowError, KeyError, TypeError) as fault:
        raise UnreadableSheet(
            f"Row {number}, column “{column.heading}”: “{str(cell)[:40]}” is not what an export has there."
        ) from fault


def _typed(cell: Any, *, kind: Kind, currency: str) -> Value:
    if kind == Kind.COUNT:
        return _whole(Decimal(str(cell)))
    if kind == Kind.MONEY:
        # A workbook holds binary fractions: 17 digits name the one that was meant, and its last cent is whole.
        minor = Decimal(str(cell)).scaleb(currency_digits(currency))
        return _whole(Decimal(round(minor)) if isinstance(cell, float) else minor)
    if kind == Kind.FLAG:
        return {"yes": True, "no": False}[str(cell)]
    if cell is None or cell == "":
        return None
    if kind == Kind.MOMENT:
        return datetime.fromisoformat(str(cell)).astimezone(UTC)
    return cell.date() if isinstance(cell, datetime) else date.fromisoformat(str(cell))


def _whole(number: Decimal) -> int:
    if number != int(number):
        raise ValueError(number)
    return int(number)
