"""Files into plain lines of text: CSV as people's spreadsheets write it. Not for workbooks: that is `workbook.py`."""

import csv
import io
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

MAX_BYTES = 10_000_000
MAX_ROWS = 5_000
MAX_COLUMNS = 100
MAX_CELL = 20_000
DELIMITERS = (";", "\t", ",", "|")


class FileRefused(ValueError):
    """The whole file cannot be read; the message is one sentence that says what would do."""


@dataclass(frozen=True, slots=True)
class Line:
    """One row. number: as the spreadsheet shows it, 1-based. cells: trimmed text, "" where empty."""

    number: int
    cells: tuple[str, ...]

    @property
    def is_blank(self) -> bool:
        """True when no cell holds anything."""
        return not any(self.cells)


@dataclass(frozen=True, slots=True)
class Sheet:
    """
    label: the file's name, with the sheet's after " › " for a workbook. lines: without gaps in numbering.

    is_text: read from a text file, where a stray delimiter shifts the cells behind it.
    """

    label: str
    lines: tuple[Line, ...]
    is_text: bool = True


def read_csv(data: bytes, *, label: str, score: Callable[[tuple[Line, ...]], int]) -> Sheet:
    """
    Read a text table, finding out its encoding and its delimiter.

    Parameters: data, the whole file; label, its name in verdicts; score, how many known headings a reading has: the
        delimiter with the best score is the right one (earlier in `DELIMITERS` on a tie).
    Returns: the sheet, rows numbered as a spreadsheet shows them (a cell of many lines is one row; a "sep=;" line,
        which spreadsheets swallow, is not counted).
    Raises: FileRefused.
    """
    text = decode_text(data)
    named = None
    if text[:4].casefold() == "sep=" and len(text) > 4:
        first, _, text = text.partition("\n")
        named = first.strip("\r")[4:5]
    if named:
        return Sheet(label=label, lines=_split(text, delimiter=named))
    readings: list[tuple[Line, ...]] = []
    faults: list[FileRefused] = []
    for delimiter in DELIMITERS:
        try:
            readings.append(_split(text, delimiter=delimiter))
        except FileRefused as fault:
            faults.append(fault)  # of this delimiter only: with the right one the table may be sound
    best = max(readings, key=score, default=())
    if faults and not score(best):
        raise faults[0]
    return Sheet(label=label, lines=best)


def decode_text(data: bytes) -> str:
    """
    Bytes into text: UTF-8 with or without a byte-order mark, UTF-16, else Windows-1252.

    Raises: FileRefused for an empty or too large file and for one that is no text.
    """
    if len(data) > MAX_BYTES:
        raise FileRefused(f"The file has {len(data) // 1_000_000} MB; a table may have 10 MB. Take the pictures out.")
    if data[:4] in {b"PK\x03\x04", b"\xd0\xcf\x11\xe0"}:
        raise FileRefused("This is a workbook with the name of a text file; give it the ending .xlsx.")
    text = _decode(data)
    if "\x00" in text:
        raise FileRefused("This is no text; save the table as CSV (UTF-8) or as XLSX.")
    return text


def _decode(data: bytes) -> str:
    encodings = ["utf-8-sig", "cp1252"]
    if data[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        encodings = ["utf-16"]
    elif data[1:200:2].count(0) > len(data[1:200:2]) // 2:
        encodings = ["utf-16-le"]  # written without a mark; every second byte of Latin text is zero
    for encoding in encodings:
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise FileRefused("The letters are in no encoding known here; save the table as CSV (UTF-8) or as XLSX.")


def _split(text: str, *, delimiter: str) -> tuple[Line, ...]:
    rows: list[list[str]] = []
    try:
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True):
            rows.append(row)
    except csv.Error as fault:
        if "unexpected end of data" in str(fault):
            sentence = f"A quotation mark in row {len(rows) + 1} is never closed; close it or take it out."
            raise FileRefused(sentence) from fault
        rows = _split_leniently(text, delimiter=delimiter)
    return numbered_lines(rows)


def _split_leniently(text: str, *, delimiter: str) -> list[list[str]]:
    # Quotation marks inside a cell, as in 24x36" or "Blue" hour, break the strict rules but not the sense.
    try:
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    except csv.Error as fault:
        raise FileRefused("The table cannot be split into cells; save it again as CSV (UTF-8) or as XLSX.") from fault


def numbered_lines(rows: Iterable[Sequence[str]]) -> tuple[Line, ...]:
    """
    Number rows from 1, trim every cell, undo one apostrophe that guards against formulas, drop empty rows at the end.

    Raises: FileRefused when a row beyond `MAX_ROWS` or a cell beyond `MAX_COLUMNS` holds anything.
    """
    lines: list[Line] = []
    for number, row in enumerate(rows, start=1):
        line = Line(number=number, cells=_clean_cells(row))
        if number > MAX_ROWS and not line.is_blank:
            raise FileRefused(f"The table has more than {MAX_ROWS:,} rows; keep only the rows of this show.")
        if number <= MAX_ROWS:
            lines.append(line)
    while lines and lines[-1].is_blank:
        lines.pop()
    return tuple(lines)


def _clean_cells(cells: Sequence[str]) -> tuple[str, ...]:
    cleaned = [_clean(cell) for cell in cells]
    while cleaned and not cleaned[-1]:
        cleaned.pop()
    if len(cleaned) > MAX_COLUMNS:
        raise FileRefused(f"A row has more than {MAX_COLUMNS} columns; keep only the columns of the table.")
    return tuple(cleaned)


def _clean(cell: str) -> str:
    text = cell.replace("\u00a0", " ").replace("\r\n", "\n").replace("\r", "\n").strip()
    if len(text) > MAX_CELL:
        raise FileRefused(f"A cell has more than {MAX_CELL:,} letters; is a quotation mark left open?")
    if text[:1] == "'" and text[1:2] in {"=", "+", "-", "@", "＝", "＋", "－", "＠"}:
        return text[1:]
    return text
