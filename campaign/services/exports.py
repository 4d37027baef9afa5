"""Exports as files, and a cash book that was exported held against the one in the database. Writes nothing."""

from collections import Counter
from dataclasses import dataclass

from campaign.models import Show
from campaign.queries.exports import Export, export_cash_book, read_export
from campaign.sheets import Value, read_back, write_csv, write_xlsx

FORMATS = {"csv": write_csv, "xlsx": write_xlsx}
CONTENT_TYPES = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
MOST_SHOWN = 50


@dataclass(frozen=True, slots=True)
class ExportFile:
    """A file to hand out."""

    name: str
    content_type: str
    data: bytes
    rows: int


@dataclass(frozen=True, slots=True)
class Comparison:
    """A file against the database: how many lines each has, and what differs, in sentences (the first fifty)."""

    in_file: int
    in_book: int
    differences: tuple[str, ...]

    @property
    def is_same(self) -> bool:
        """Nothing differs."""
        return not self.differences


def write_export(*, show: Show, what: str, file_format: str) -> ExportFile:
    """
    The cash book (`cash-book`), the pledges (`pledges`) or what is to be sent back (`to-send`), as `csv` or `xlsx`.

    The file is read back before it is handed out: it holds every value as it stands in the database.
    Raises: KeyError for another table or format.
    """
    export = read_export(show, what=what)
    data = FORMATS[file_format](export.table, export.rows)
    assert read_back(data, table=export.table) == [tuple(row) for row in export.rows], "an export loses nothing"
    return ExportFile(f"{export.name}.{file_format}", CONTENT_TYPES[file_format], data, len(export.rows))


def compare_cash_book(*, show: Show, data: bytes) -> Comparison:
    """
    An exported cash book against the book; it is never written from a file.

    Raises: UnreadableSheet for a file that is no export of it.
    """
    export = export_cash_book(show)
    found = read_back(data, table=export.table)
    differences = [*_twice(found), *_differences(found, export=export)]
    more = len(differences) - MOST_SHOWN
    shown = differences[:MOST_SHOWN] + ([f"And {more} more differences."] if more > 0 else [])
    return Comparison(in_file=len(found), in_book=len(export.rows), differences=tuple(shown))


def _twice(rows: list[tuple[Value, ...]]) -> list[str]:
    counts = Counter(row[0] for row in rows)
    return [f"The file has the line {key} {count} times." for key, count in counts.items() if count > 1]


def _differences(rows: list[tuple[Value, ...]], *, export: Export) -> list[str]:
    book, file = {row[0]: row for row in export.rows}, {row[0]: row for row in rows}
    words = [f"The line {key} ({book[key][6]}) is in the book and not in the file." for key in book if key not in file]
    words += [f"The line {key} is in the file and not in the book." for key in file if key not in book]
    for key in book.keys() & file.keys():
        for column, ours, theirs in zip(export.table.columns, book[key], file[key], strict=True):
            if ours != theirs:
                words.append(f"The line {key} differs in “{column.heading}”: the book says {ours}, the file {theirs}.")
    return sorted(words)
