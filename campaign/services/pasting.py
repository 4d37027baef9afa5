"""Text pasted from a spreadsheet, read with the tables of the show folder. Not for what becomes of the rows."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

from campaign.models import Show
from campaign.showfolder.entries import Entry, read_sheet
from campaign.showfolder.fields import Context
from campaign.showfolder.headings import Table, count_known, nearest
from campaign.showfolder.rows import Outcome, Verdict
from campaign.showfolder.sheets import FileRefused, read_csv

LABEL = "what was pasted"


@dataclass(frozen=True, slots=True)
class PastedSheet:
    """The rows that could be read, and verdicts on everything else that is worth a word."""

    entries: tuple[Entry, ...] = ()
    verdicts: tuple[Verdict, ...] = ()


@dataclass(frozen=True, slots=True)
class PastedRow:
    """One row that can be stored, and in words what it changes; of a new one all that it says."""

    number: int
    title: str
    is_new: bool
    changes: tuple[str, ...]

    @property
    def outcome(self) -> str:
        """What becomes of the row."""
        if self.is_new:
            return "added"
        return "changed" if self.changes else "stays as it is"


Row = TypeVar("Row", bound=PastedRow)


@dataclass(frozen=True, slots=True)
class Pasted(Generic[Row]):
    """Everything that was pasted: rows that can be stored, refusals that keep all of them out, notes; `noun` of one."""

    rows: tuple[Row, ...]
    refusals: tuple[Verdict, ...]
    notes: tuple[Verdict, ...]
    noun: str

    @classmethod
    def of(cls, rows: Sequence[Row], *, verdicts: Sequence[Verdict], noun: str) -> "Pasted[Row]":
        """Rows and verdicts sorted out; nothing at all is a refusal too."""
        refusals = tuple(verdict for verdict in verdicts if verdict.outcome is Outcome.REFUSED)
        if not rows and not refusals:
            refusals = (Verdict(LABEL, None, Outcome.REFUSED, "There is no row below the headings."),)
        return cls(tuple(rows), refusals, tuple(one for one in verdicts if one.outcome is Outcome.NOTED), noun)

    @property
    def changed(self) -> int:
        """How many rows change something that is there."""
        return sum(not row.is_new and bool(row.changes) for row in self.rows)

    @property
    def words(self) -> str:
        """What storing it does, as a sentence."""
        added = sum(row.is_new for row in self.rows)
        return f"{added} {self.noun}{'' if added == 1 else 's'} added, {self.changed} changed."


def read_pasted(text: str, *, table: Table, show: Show, most_rows: int) -> PastedSheet:
    """
    Read pasted text as `table`, of which every column may be absent and every cell empty.

    Tabs, semicolons and commas are told apart by the headings that they make known; a bare length is in the show's
    unit. Empty rows and comments are passed over without a word. Never raises.
    """
    columns = tuple(replace(column, is_required=False) for column in table.columns)
    context = Context(length_unit=show.length_unit, currency=show.currency, time_zone=show.time_zone)
    try:
        sheet = read_csv(
            text.strip("\r\n").encode(errors="replace"), label=LABEL, score=lambda lines: count_known(lines, columns)
        )
        reading = read_sheet(sheet, replace(table, columns=columns), context=context)
    except FileRefused as fault:
        return PastedSheet(verdicts=(Verdict(LABEL, None, Outcome.REFUSED, _in_pasting_words(str(fault), table)),))
    verdicts = tuple(one for one in reading.verdicts if one.outcome is not Outcome.SKIPPED)
    if len(reading.entries) + len(reading.refused) > most_rows:
        sentence = f"There are more than {most_rows} rows; paste fewer at a time."
        return PastedSheet(verdicts=(Verdict(LABEL, None, Outcome.REFUSED, sentence),))
    return PastedSheet(reading.entries, verdicts)


def is_given(entry: Entry, column: str) -> bool:
    """True if something stands in the cell: an empty one changes nothing."""
    return bool(entry.cells.get(column, "").strip())


def unknown_name(entry: Entry, *, column: str, name: str, known: Collection[str], what: str) -> Verdict:
    """A refusal for a name that is none of `known`, with the one that is spelled most alike."""
    close = nearest(name, list(known))
    hint = f"did you mean “{close}”?" if close else f"known are {', '.join(sorted(known)) or 'none yet'}."
    return entry.verdict(f"“{name}” is no {what} of this show; {hint}", column=column)


def _in_pasting_words(sentence: str, table: Table) -> str:
    """A sentence about a file, said about a text area."""
    if sentence.startswith("No row has the headings"):
        names = ", ".join(column.name for column in table.columns)
        return f"No row has the headings of this table; the first row needs at least two of: {names}."
    return sentence.replace("give it headings and rows, or take it away", "paste the headings and the rows")
