"""Rows of a sheet into values under our column names, with a verdict for every row that gives none."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from campaign.measures.errors import MeasureError
from campaign.showfolder.fields import Context, FieldRefused, refuse_control, sentence_of
from campaign.showfolder.headings import Column, Headings, Table, find_headings, nearest, plain_words
from campaign.showfolder.rows import Outcome, Verdict
from campaign.showfolder.sheets import FileRefused, Line, Sheet

_TOTALS = {"total", "totals", "sum", "subtotal", "sub total", "grand total", "in total", "all together"}
_ERRORS = ("#REF!", "#N/A", "#NAME?", "#VALUE!", "#DIV/0!", "#NUM!", "#NULL!")


@dataclass(frozen=True, slots=True)
class Entry:
    """
    One row as read.

    values: our column name → value in our units. cells: our column name → text as it stands. spelled: our column
    name → heading as it stands, so that a later check can point at the right cell.
    """

    file: str
    number: int | None
    values: Mapping[str, Any]
    cells: Mapping[str, str]
    spelled: Mapping[str, str]

    def verdict(self, sentence: str, *, column: str = "", outcome: Outcome = Outcome.REFUSED) -> Verdict:
        """A verdict on this row; `column` by our name."""
        return Verdict(
            file=self.file,
            row=self.number,
            outcome=outcome,
            sentence=sentence,
            column=self.spelled.get(column, column),
            found=self.cells.get(column, ""),
        )


@dataclass(frozen=True, slots=True)
class Reading:
    """
    What one sheet gave: the rows that could be read, and verdicts on everything else in it.

    refused: rows that could not be read, without values, so that others may still refer to their codes.
    is_whole: False when the headings were refused and no row was looked at.
    """

    entries: tuple[Entry, ...] = ()
    verdicts: tuple[Verdict, ...] = ()
    refused: tuple[Entry, ...] = ()
    is_whole: bool = True


def read_sheet(sheet: Sheet, table: Table, *, context: Context) -> Reading:
    """
    Read a sheet as one of our tables.

    Returns: entries without verdicts (the caller says "ok" once the cross-checks are done), and verdicts for headings
        and for refused and skipped rows. A refused row has one verdict per cell at fault.
    Raises: FileRefused when no row looks like the table's headings.
    """
    headings = find_headings(sheet.lines, table.columns)
    if headings is None:
        if not any(not line.is_blank for line in sheet.lines):
            raise FileRefused("The table is empty; give it headings and rows, or take it away.")
        wanted = ", ".join(column.name for column in table.columns if column.is_required)
        raise FileRefused(f"No row has the headings of this table; the first row needs at least: {wanted}.")
    verdicts = [*_on_headings(sheet, table, headings=headings)]
    if any(verdict.outcome is Outcome.REFUSED for verdict in verdicts):
        return Reading(verdicts=tuple(verdicts), is_whole=False)
    entries: list[Entry] = []
    refused: list[Entry] = []
    above: dict[str, str] = {}
    for line in sheet.lines:
        skipped = _why_skipped(line, headings=headings)
        if skipped:
            verdicts.append(Verdict(sheet.label, line.number, Outcome.SKIPPED, skipped))
        elif line.number != headings.number:
            entry = _entry(line, sheet, table, headings=headings, above=above)
            found = _too_long(line, sheet, headings=headings) or read_cells(
                entry,
                table.columns,
                context=lambda column: replace(context, unit=headings.units.get(column.name, "")),
            )
            if isinstance(found, Entry):
                entries.append(found)
            else:
                refused.append(entry)
                verdicts.extend(found)
    return Reading(entries=tuple(entries), verdicts=tuple(verdicts), refused=tuple(refused))


def _on_headings(sheet: Sheet, table: Table, *, headings: Headings) -> list[Verdict]:
    verdicts: list[Verdict] = []

    def say(outcome: Outcome, sentence: str, heading: str = "") -> None:
        verdicts.append(Verdict(sheet.label, headings.number, outcome, sentence, column=heading, found=heading))

    absent = [column for column in table.columns if column.name not in headings.places]
    for heading in headings.unknown:
        close = nearest(heading, [spelling for column in absent for spelling in (column.name, *column.aliases)])
        hint = f"did you mean “{close}”?" if close else "rename it if it is meant to be read."
        say(Outcome.NOTED, f"This heading is not known and its column is left out; {hint}", heading)
    for heading in headings.doubled:
        say(Outcome.REFUSED, "Another column has this meaning already; keep one of the two.", heading)
    for column in absent:
        if column.is_required:
            also = ", ".join(column.aliases[:3])
            others = f" (also understood: {also})" if also else ""
            say(Outcome.REFUSED, f"There is no column “{column.name}”; add one{others}.")
    return verdicts


def _why_skipped(line: Line, *, headings: Headings) -> str:
    if line.is_blank:
        return "The row is empty."
    if line.number < headings.number:
        return "The row stands above the headings."
    first = next(cell for cell in line.cells if cell)
    is_comment = first.startswith(("# ", "//")) or first == "#" or (first[:1] == "#" and first[1:2].isalpha())
    if is_comment and first not in _ERRORS:
        return "The row is a comment."
    if plain_words(first) in _TOTALS:
        return "The row is a total, not an entry."
    repeated = [_cell(line, place) == headings.spelled[name] for name, place in headings.places.items()]
    if line.number > headings.number and all(repeated):
        return "The row repeats the headings."
    return ""


def _too_long(line: Line, sheet: Sheet, *, headings: Headings) -> list[Verdict]:
    if not sheet.is_text or len(line.cells) <= headings.width:
        return []
    sentence = (
        f"The row has {len(line.cells)} cells but there are {headings.width} headings; "
        "put a cell that holds the delimiter itself into quotation marks."
    )
    return [Verdict(sheet.label, line.number, Outcome.REFUSED, sentence, found=line.cells[headings.width])]


def _entry(line: Line, sheet: Sheet, table: Table, *, headings: Headings, above: dict[str, str]) -> Entry:
    cells = {name: _cell(line, place) for name, place in headings.places.items()}
    for column in table.columns:
        if column.carries and column.name in cells:
            cells[column.name] = above[column.name] = cells[column.name] or above.get(column.name, "")
    return Entry(sheet.label, line.number, {}, cells, headings.spelled)


def read_cells(
    entry: Entry, columns: Sequence[Column], *, context: Callable[[Column], Context]
) -> Entry | list[Verdict]:
    """The entry with its values, or a refusal for every cell that cannot be read."""
    values: dict[str, Any] = {}
    refusals: list[Verdict] = []
    for column in columns:
        try:
            values[column.name] = _value(entry.cells.get(column.name, ""), column, context=context(column))
        except (FieldRefused, MeasureError) as fault:
            refusals.append(entry.verdict(sentence_of(fault), column=column.name))
    return refusals or replace(entry, values=values)


def _value(cell: str, column: Column, *, context: Context) -> object:
    if not cell or (cell in {"-", "–", "—", "n/a", "N/A"} and not column.is_required):
        if column.is_required:
            raise FieldRefused(f"The cell is empty; write the {column.name}.")
        return column.default
    refuse_control(cell)
    if cell in _ERRORS:
        raise FieldRefused("The formula has an error; mend it, or type the value instead.")
    if cell.startswith("="):
        raise FieldRefused("The formula has no stored result; open and save the file, or type the value instead.")
    return column.read(cell, context)


def _cell(line: Line, place: int) -> str:
    return line.cells[place] if place < len(line.cells) else ""
