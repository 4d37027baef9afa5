"""Which file of a folder is which table. Reads files, judges no row."""

import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from campaign.showfolder.headings import Column, Table, count_known, nearest, plain_words
from campaign.showfolder.rows import Outcome, Verdict
from campaign.showfolder.settings import Pair, sheet_pairs, toml_pairs
from campaign.showfolder.sheets import MAX_BYTES, FileRefused, Sheet, read_csv
from campaign.showfolder.tables import TABLES
from campaign.showfolder.workbook import read_workbook

MAX_FILES = 2_000
SETTINGS_NAMES = ("settings", "show", "show settings")
PICTURE_ENDINGS = (".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff", ".gif", ".heic", ".psd", ".svg")
_TEXT_ENDINGS = (".csv", ".tsv", ".txt")
_OTHER_TABLE_ENDINGS = (".xls", ".xlsm", ".xlsb", ".ods", ".numbers")
_PAPERS = (".md", ".pdf", ".doc", ".docx", ".odt", ".rtf", ".ini", ".db", ".html")

_ANY = "*"
_TABLE_NAMES = {plain_words(name): table for table in TABLES for name in (table.name, *table.aliases)}


@dataclass(slots=True)
class Sources:
    """
    What a folder holds: at most one sheet a table, the settings' pairs, and a verdict for every other file.

    unread: names of files that were refused, in plain words: what they hold is not missing as well.
    """

    sheets: dict[str, Sheet] = field(default_factory=dict)
    settings: tuple[str, tuple[Pair, ...]] | None = None
    verdicts: list[Verdict] = field(default_factory=list)
    unread: set[str] = field(default_factory=set)

    def is_unread(self, *names: str) -> bool:
        """True if a file of one of these names was refused, or a workbook, which may have held anything."""
        return not self.unread.isdisjoint({plain_words(name) for name in names} | {_ANY})

    def refuse(self, label: str, sentence: str) -> None:
        """Refuse a file as a whole."""
        self.verdicts.append(Verdict(label, None, Outcome.REFUSED, sentence))

    def take_sheet(self, table: Table, sheet: Sheet) -> None:
        """Keep a sheet as a table, unless another file is that table already."""
        if table.name in self.sheets:
            other = self.sheets[table.name].label
            self.refuse(sheet.label, f"“{other}” is the table “{table.name}” already; keep one of the two.")
        else:
            self.sheets[table.name] = sheet

    def take_settings(self, label: str, pairs: tuple[Pair, ...]) -> None:
        """Keep the settings, unless another file has them already."""
        if self.settings is not None:
            self.refuse(label, f"“{self.settings[0]}” has the settings already; keep one of the two.")
        else:
            self.settings = (label, pairs)


def find_sources(folder: Path) -> Sources:
    """
    Read every table in a folder (not in folders inside it), in order of name.

    Returns: also for a folder that is missing or cannot be opened, with one refusal then.
    """
    sources = Sources()
    try:
        files = sorted(
            (entry for entry in os.scandir(folder) if entry.is_file()), key=lambda entry: entry.name.casefold()
        )
    except (OSError, ValueError):
        sources.refuse(folder.name or str(folder), "This is no folder that can be read; give the folder of the show.")
        return sources
    if len(files) > MAX_FILES:
        sources.refuse(folder.name, f"The folder has more than {MAX_FILES:,} files; give the folder of one show.")
        return sources
    for entry in files:
        if not entry.name.startswith((".", "~$", "~")):
            try:
                _take_file(Path(entry.path), sources)
            except FileRefused as fault:
                sources.refuse(entry.name, str(fault))
                is_book = entry.name.casefold().endswith((".xlsx", *_OTHER_TABLE_ENDINGS))
                sources.unread.add(_ANY if is_book else plain_words(Path(entry.name).stem))
    return sources


def _take_file(path: Path, sources: Sources) -> None:
    ending, name = path.suffix.casefold(), path.name
    if ending in PICTURE_ENDINGS:
        return
    if ending == ".toml":
        sources.take_settings(name, toml_pairs(_read(path)))
    elif ending in _TEXT_ENDINGS:
        _take_text(path, sources)
    elif ending == ".xlsx":
        for sheet, words in _named_sheets(path):
            _take_sheet(sheet, words, sources)
    elif ending in _OTHER_TABLE_ENDINGS:
        raise FileRefused("This kind of workbook cannot be read; save it as XLSX or as CSV (UTF-8).")
    elif ending in _PAPERS:
        sources.verdicts.append(Verdict(name, None, Outcome.SKIPPED, "This file is no table and no picture."))
    else:
        sources.verdicts.append(Verdict(name, None, Outcome.NOTED, _unknown(path.stem)))


def _take_text(path: Path, sources: Sources) -> None:
    words = plain_words(path.stem)
    if words in SETTINGS_NAMES:
        sheet = read_csv(_read(path), label=path.name, score=_count_pairs)
        sources.take_settings(path.name, sheet_pairs(sheet))
    elif words in _TABLE_NAMES:
        table = _TABLE_NAMES[words]
        columns: tuple[Column, ...] = table.columns
        sheet = read_csv(_read(path), label=path.name, score=lambda lines: count_known(lines, columns))
        sources.take_sheet(table, sheet)
    else:
        sources.verdicts.append(Verdict(path.name, None, Outcome.NOTED, _unknown(path.stem)))


def _count_pairs(lines: tuple[object, ...]) -> int:
    return sum(1 for line in lines if len(getattr(line, "cells", ())) == 2)


def _named_sheets(path: Path) -> Iterator[tuple[Sheet, str]]:
    """The sheets of a workbook and their names; the file's own name where the sheets say nothing ("Sheet1")."""
    sheets = [sheet for sheet in read_workbook(_read(path), label=path.name) if sheet.lines]
    if not sheets:
        raise FileRefused("The workbook is empty; give it headings and rows, or take it away.")
    named = [(sheet, plain_words(sheet.label.partition(" › ")[2])) for sheet in sheets]
    if not any(words in _TABLE_NAMES or words in SETTINGS_NAMES for _, words in named):
        named[0] = (sheets[0], plain_words(path.stem))
    yield from named


def _take_sheet(sheet: Sheet, words: str, sources: Sources) -> None:
    if words in SETTINGS_NAMES:
        sources.take_settings(sheet.label, sheet_pairs(sheet))
    elif words in _TABLE_NAMES:
        sources.take_sheet(_TABLE_NAMES[words], sheet)
    else:
        sources.verdicts.append(Verdict(sheet.label, None, Outcome.NOTED, _unknown(words)))


def _unknown(name: str) -> str:
    close = nearest(name, [table.name for table in TABLES] + ["settings"])
    hint = f"did you mean “{close}”?" if close else "rename it if it is meant to be read."
    return f"The name is of no table and the file is left out; {hint}"


def _read(path: Path) -> bytes:
    try:
        if path.stat().st_size > MAX_BYTES:
            raise FileRefused("The file is larger than 10 MB; a table is smaller. Take the pictures out.")
        return path.read_bytes()
    except OSError as fault:
        raise FileRefused(
            "The file cannot be opened; close it in other programs and see that it may be read."
        ) from fault
