"""What a cell may hold, and how text is kept from becoming a formula or from being lost in a file."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

Value = str | int | bool | date | datetime | None
Row = Sequence[Value]


class UnreadableSheet(ValueError):
    """A file that is not one of our exports, or was changed so that it cannot be read; says where, in a sentence."""


class Kind(StrEnum):
    """
    What a column holds.

    Text, never None; a count; minor units of the currency in the column `currency` of the table; a day or None; an
    aware moment, written in UTC, or None; yes or no.
    """

    TEXT = "text"
    COUNT = "count"
    MONEY = "money"
    DAY = "day"
    MOMENT = "moment"
    FLAG = "flag"


@dataclass(frozen=True, slots=True)
class Column:
    """A heading, and what stands under it."""

    heading: str
    kind: Kind = Kind.TEXT


@dataclass(frozen=True, slots=True)
class Table:
    """A sheet: its name, its columns, the currency of its money columns."""

    name: str
    columns: tuple[Column, ...]
    currency: str

    def __post_init__(self) -> None:
        assert len({column.heading for column in self.columns}) == len(self.columns), "headings differ"


# What a spreadsheet passes over before it looks for a formula, and what begins one.
_PASSED = r"[\s\x00-\x1f\x7f\ufeff\u200b-\u200f\u2060]*"
_FORMULA = re.compile(rf"'*(?:{_PASSED}[=+\-@＝＋－＠]|{_PASSED}[\t\r\n])")


def guard(text: str) -> str:
    """
    Text for a CSV cell: one apostrophe in front of what a spreadsheet would run, and of what looks so guarded.

    >>> guard("=1+1"), guard("'=1+1"), guard("5 prints")
    ("'=1+1", "''=1+1", '5 prints')
    """
    return f"'{text}" if _FORMULA.match(text) else text


def unguard(cell: str) -> str:
    """
    The text that `guard` has made a cell of.

    >>> unguard("'=1+1"), unguard("'tis")
    ('=1+1', "'tis")
    """
    return cell[1:] if cell.startswith("'") and _FORMULA.match(cell) else cell


def begins_formula(cell: str) -> bool:
    """True for a cell that some spreadsheet may run."""
    return not cell.startswith("'") and bool(_FORMULA.match(cell))


# XML has no place for these; and what looks like the format's own escape (_x000D_) would be taken for one.
_MARK = "␛"
_UNSAFE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ufffe\uffff␛]|x(?=[0-9A-Fa-f]{4}_)")
_ESCAPED = re.compile(rf"{_MARK}([0-9a-f]{{1,6}});")


def pack(text: str) -> str:
    """
    Text for an XLSX cell: characters that the format would lose stand as ␛ and their number.

    >>> pack("a\\x01b"), pack("two\\nlines")
    ('a␛1;b', 'two\\nlines')
    """
    return _UNSAFE.sub(lambda found: f"{_MARK}{ord(found.group()):x};", text)


def unpack(cell: str) -> str:
    """The text that `pack` has made a cell of. Raises: UnreadableSheet for a number that is no character."""
    try:
        return _ESCAPED.sub(lambda found: chr(int(found.group(1), 16)), cell)
    except (ValueError, OverflowError) as fault:
        raise UnreadableSheet("A cell holds a sign that is no letter. It is not as it was exported.") from fault
