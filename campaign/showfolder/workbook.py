"""Workbooks (XLSX) into the same plain lines as text tables. Knows openpyxl, as sheets/reading.py does."""

import io
import re
import struct
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

import openpyxl
from openpyxl.utils.exceptions import InvalidFileException

from campaign.showfolder.sheets import MAX_BYTES, MAX_COLUMNS, MAX_ROWS, FileRefused, Line, Sheet, numbered_lines

MAX_UNPACKED_BYTES = 100_000_000
MAX_SHEETS = 50
# Empty formatted rows are common far below the last entry; beyond this nothing is looked at.
_LAST_ROW = 4 * MAX_ROWS

_READER_FAULTS = (
    OSError,
    SyntaxError,  # the XML parser's own error is one
    ValueError,  # and so are the refusals of defusedxml
    TypeError,
    LookupError,
    ArithmeticError,
    AttributeError,
    AssertionError,
    NotImplementedError,
    EOFError,
    RuntimeError,
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    InvalidFileException,
)


def read_workbook(data: bytes, *, label: str) -> tuple[Sheet, ...]:
    """
    Read every visible sheet of a workbook.

    Parameters: data, the whole file, at most 10 MB and 100 MB unpacked; label, its name in verdicts.
    Returns: one sheet each, labelled "<label> › <sheet>", empty ones too. Numbers carry the unit or currency that
        their cell format shows ("60 cm", "12.5 %", "9.90 €"); dates are ISO; formulas give their stored result, or
        their own text where none was stored.
    Raises: FileRefused.
    """
    _check_archive(data)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # openpyxl warns of drop-down lists and styles, which do not matter here
            values = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
            formulas = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=False)
            if len(values.worksheets) > MAX_SHEETS:
                raise FileRefused(f"The workbook has more than {MAX_SHEETS} sheets; keep only those of this show.")
            return tuple(
                Sheet(label=f"{label} › {sheet.title}", lines=_lines(sheet, twin), is_text=False)
                for sheet, twin in zip(values.worksheets, formulas.worksheets, strict=True)
                if sheet.sheet_state == "visible"
            )
    except FileRefused:
        raise
    except _READER_FAULTS as fault:
        raise FileRefused("The workbook is damaged; open it in your spreadsheet and save it again as XLSX.") from fault


def _check_archive(data: bytes) -> None:
    if len(data) > MAX_BYTES:
        raise FileRefused(f"The file has {len(data) // 1_000_000} MB; a table may have 10 MB. Take the pictures out.")
    if data[:4] == b"\xd0\xcf\x11\xe0":
        raise FileRefused("This is an old .xls or a locked workbook; save it as XLSX without a password.")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            unpacked = sum(entry.file_size for entry in archive.infolist())
    except _READER_FAULTS as fault:
        raise FileRefused("This is no workbook; save the table as XLSX or as CSV (UTF-8).") from fault
    if unpacked > MAX_UNPACKED_BYTES:
        raise FileRefused("The workbook is far too large inside; copy the table alone into a new workbook.")


def _lines(sheet: Any, twin: Any) -> tuple[Line, ...]:
    for each in (sheet, twin):
        each.reset_dimensions()  # some programs write a wrong extent, which would cut rows off
    return numbered_lines(_rows(sheet, twin))


def _rows(sheet: Any, twin: Any) -> Iterator[list[str]]:
    extent = {"max_row": _LAST_ROW, "max_col": MAX_COLUMNS}
    for cells, originals in zip(sheet.iter_rows(**extent), twin.iter_rows(**extent), strict=False):
        yield [
            _text(cell) if cell.value is not None else _formula(original)
            for cell, original in zip(cells, originals, strict=False)
        ]


def _formula(cell: Any) -> str:
    # A formula that no spreadsheet has worked out yet: shown as found, so that the refusal can name it.
    return cell.value if isinstance(cell.value, str) and cell.value.startswith("=") else ""


def _text(cell: Any) -> str:
    value = cell.value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return _number_text(value, number_format=str(cell.number_format or ""))
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat(" ", "minutes")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):
        return value.isoformat("minutes")
    return str(value)


def _number_text(value: float, *, number_format: str) -> str:
    # Ten digits hide what binary fractions leave behind (0.30000000000000004).
    number = Decimal(f"{value:.10g}")
    shown = number_format.split(";")[0]
    if "%" in shown:
        return f"{_plain(number * 100)} %"
    unit = _unit_shown(shown)
    return f"{_plain(number)} {unit}" if unit else _plain(number)


def _plain(number: Decimal) -> str:
    text = format(number, "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    whole, point, decimals = text.partition(".")
    # Three decimals could be read as thousands; a cell typed as a number leaves no such doubt.
    return f"{whole}.{decimals}0" if point and len(decimals) == 3 else text


def _unit_shown(shown: str) -> str:
    currency = re.search(r"\[\$([^\]-]+)[^\]]*\]", shown)
    if currency:
        return currency.group(1).strip()
    without_brackets = re.sub(r"\[[^\]]*\]", "", shown)
    quoted = " ".join(part.strip() for part in re.findall(r'"([^"]*)"', without_brackets)).strip()
    if quoted:
        return quoted
    symbol = re.search(r"[€$£¥]", without_brackets)
    return symbol.group(0) if symbol else ""
