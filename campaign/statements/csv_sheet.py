"""A bank's CSV file as rows of cells: its encoding, what divides the cells, where the headings stand."""

import csv
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from campaign.statements.lines import StatementRefused, check_count, check_size

HEAD_ROWS = 30
DELIMITERS = (";", ",", "\t", "|")
_LONGEST_CELL = 100_000
Row = tuple[int, tuple[str, ...]]  # line in the file, cells


@dataclass(frozen=True, slots=True)
class CsvSheet:
    """The headings, the line they stand on, and the rows below with their line numbers; empty rows are left out."""

    headings: tuple[str, ...]
    line: int
    rows: tuple[Row, ...]
    delimiter: str

    def column(self, heading: str) -> list[str]:
        """What stands under a heading, one text a row."""
        place = self.headings.index(heading)
        return [cells[place].strip() if place < len(cells) else "" for _, cells in self.rows]


def look_at_csv(data: bytes, *, known: Sequence[Sequence[str]] = ()) -> CsvSheet:
    """
    Find the table in a file: encoding (UTF-8, UTF-16, CP1252), delimiter, and headings within the first 30 rows.

    Parameters: known, headings of saved layouts; a row that is one of them is taken without further thought.
    Raises: StatementRefused where no row looks like headings above rows with days and amounts.
    """
    check_size(data)
    text = _decoded(data)
    wanted = {tuple(headings) for headings in known}
    best: tuple[int, CsvSheet] | None = None
    for delimiter in DELIMITERS:
        rows = _rows(text, delimiter=delimiter, most=HEAD_ROWS + 40)
        for place, (line, cells) in enumerate(rows[:HEAD_ROWS]):
            headings = _headings(cells)
            score = 10_000 if headings in wanted else _score(headings, rows[place + 1 :])
            if score and (best is None or score > best[0]):
                best = score, CsvSheet(headings, line, (), delimiter)
    if best is None:
        raise StatementRefused(
            f"None of the first {HEAD_ROWS} rows looks like headings above rows with a day and an amount. Choose the "
            "bank's export as CSV or, better, as CAMT.053."
        )
    found = best[1]
    below = tuple(row for row in _rows(text, delimiter=found.delimiter, most=None) if row[0] > found.line)
    check_count(len(below))
    return CsvSheet(found.headings, found.line, below, found.delimiter)


def _decoded(data: bytes) -> str:
    if data.startswith(b"\xef\xbb\xbf"):
        text = data.decode("utf-8-sig", errors="replace")
    elif data.startswith((b"\xff\xfe", b"\xfe\xff")):
        text = data.decode("utf-16", errors="replace")
    elif b"\x00" in data[:200]:
        # Without a mark: Latin text in UTF-16 has a zero byte in every pair, at its end or at its beginning.
        zeros_second = data[1:200:2].count(0) > data[0:200:2].count(0)
        text = data.decode("utf-16-le" if zeros_second else "utf-16-be", errors="replace")
    else:
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError:
            text = data.decode("cp1252", errors="replace")
    return text.replace("\x00", "").removeprefix("\ufeff")


def _rows(text: str, *, delimiter: str, most: int | None) -> list[Row]:
    rows: list[Row] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        for cells in _checked(reader):
            if any(cell.strip() for cell in cells):
                rows.append((reader.line_num, tuple(cells)))
                check_count(len(rows) - HEAD_ROWS)
            if most is not None and len(rows) >= most:
                break
    except csv.Error:
        if most is None:
            raise StatementRefused(
                f"Line {reader.line_num + 1} of the file is damaged: its quotes do not end."
            ) from None
    return rows


def _checked(reader: Iterator[list[str]]) -> Iterator[list[str]]:
    for cells in reader:
        if any(len(cell) > _LONGEST_CELL for cell in cells):
            raise csv.Error
        yield cells


def _headings(cells: Sequence[str]) -> tuple[str, ...]:
    """The cells as headings, the empty ones at the end left out, the others named by their place."""
    plain = [" ".join(cell.split())[:80] for cell in cells]
    while plain and not plain[-1]:
        plain.pop()
    named: list[str] = []
    for place, cell in enumerate(plain, start=1):
        name = cell or f"column {place}"
        named.append(name if name not in named else f"{name} ({place})")
    return tuple(named)


def _score(headings: tuple[str, ...], below: list[Row]) -> int:
    """More columns are better; none where the row is no heading or what follows has no day and amount."""
    if len(headings) < 3 or any(_is_day(cell) or _is_amount(cell) for cell in headings):
        return 0
    for _, cells in below[:40]:
        if len(cells) >= len(headings) - 1 and any(map(_is_day, cells)) and any(map(_is_amount, cells)):
            return len(headings)
    return 0


_DAY = re.compile(r"\d{1,4}[-./ ]\d{1,2}[-./ ]\d{1,4}(?:[T ][\d:.+Z-]*)?|\d{8}", re.ASCII)
_AMOUNT = re.compile(r"[-+−(]?\s?(?:\D{0,4}\s?)?\d[\d.,'’ \u00a0\u202f]*\s?[-+)]?(?:\s?\D{1,4})?")


def _is_day(cell: str) -> bool:
    return bool(_DAY.fullmatch(cell.strip()))


def _is_amount(cell: str) -> bool:
    plain = cell.strip()[:40]
    return bool(_AMOUNT.fullmatch(plain)) and not _is_day(plain)
