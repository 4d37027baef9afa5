"""Which column is which: headings in many spellings, units in headings, near misses. Not for cells."""

import difflib
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from campaign.showfolder.fields import Reader
from campaign.showfolder.sheets import Line

_UNIT_NAMES = {
    "mm": "mm", "millimetre": "mm", "millimetres": "mm", "cm": "cm", "centimetre": "cm", "centimetres": "cm",
    "m": "m", "metre": "m", "metres": "m", "meters": "m", "in": "in", "inch": "in", "inches": "in", '"': "in",
    "ft": "ft", "feet": "ft", "g": "g", "gram": "g", "grams": "g", "kg": "kg", "lb": "lb", "lbs": "lb", "oz": "oz",
    "%": "%", "percent": "%",
}  # fmt: skip
_LOOKED_THROUGH = 25  # rows in which headings are sought, so that a title and a note may stand above them
_LONGEST = 120  # letters of a heading


@dataclass(frozen=True, slots=True)
class Column:
    """
    One column of a table of ours.

    name: our word, itself an accepted heading. aliases: other headings, in any case and punctuation.
    is_required: the heading must be there and no cell may be empty. default: the value of an empty cell.
    carries: an empty cell repeats the one above, as people leave it in grouped or merged cells.
    """

    name: str
    read: Reader
    aliases: tuple[str, ...] = ()
    is_required: bool = True
    default: object = None
    carries: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """
    One table. name: of the file or sheet. aliases: other names for it. is_required: a show cannot do without.

    most_rows: how many rows it may have, 0 = no limit of its own.
    """

    name: str
    columns: tuple[Column, ...]
    aliases: tuple[str, ...] = ()
    is_required: bool = True
    most_rows: int = 0


@dataclass(frozen=True, slots=True)
class Headings:
    """
    The row of headings of one sheet.

    number: its row. width: how many cells it has. places: our column name → position. spelled: our column name →
    the heading as it stands. units: our column name → unit or currency named in the heading. unknown: headings that
    are none of ours. doubled: headings that name a column already named by another.
    """

    number: int
    width: int = 0
    places: Mapping[str, int] = field(default_factory=dict)
    spelled: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    unknown: tuple[str, ...] = ()
    doubled: tuple[str, ...] = ()


def plain_words(heading: str) -> str:
    """
    A heading without case, accents, punctuation and doubled spaces.

    >>> plain_words("  Année_du  Tirage (cm)")
    'annee du tirage cm'
    """
    decomposed = unicodedata.normalize("NFKD", heading).casefold()
    letters = "".join(letter for letter in decomposed if not unicodedata.combining(letter))
    return " ".join(re.sub(r"[^\w%\"*€$£¥]|_", " ", letters).split())


_of_ours = cache(plain_words)  # asked for the names of our columns at every row: half the time of a folder


def find_headings(lines: Sequence[Line], columns: Sequence[Column]) -> Headings | None:
    """
    The first row with the most known headings, at least two (or one, in a table of one column), or None.

    Notes: rows above it are titles and notes; only the first 25 rows that hold anything are looked at.
    """
    candidates = [line for line in lines if not line.is_blank][:_LOOKED_THROUGH]
    least = min(2, len(columns))
    best: Headings | None = None
    for line in candidates:
        headings = _match(line, columns)
        if len(headings.places) >= least and (best is None or len(headings.places) > len(best.places)):
            best = headings
    return best


def count_known(lines: Sequence[Line], columns: Sequence[Column]) -> int:
    """How many headings are known in the best row; tells the right delimiter from wrong ones."""
    headings = find_headings(lines, columns)
    return len(headings.places) if headings else 0


def nearest(word: str, among: Sequence[str]) -> str:
    """The closest of some words by spelling, or "" when none is close."""
    plain = {plain_words(each): each for each in reversed(among)}
    found = difflib.get_close_matches(plain_words(word), list(plain), n=1, cutoff=0.6)
    return plain[found[0]] if found else ""


def _match(line: Line, columns: Sequence[Column]) -> Headings:
    names = {_of_ours(alias): column.name for column in columns for alias in (column.name, *column.aliases)}
    places: dict[str, int] = {}
    spelled: dict[str, str] = {}
    units: dict[str, str] = {}
    unknown: list[str] = []
    doubled: list[str] = []
    for place, heading in enumerate(line.cells):
        if not heading:
            continue
        name, unit = _recognise(heading, names)
        if name is None:
            unknown.append(heading)
        elif name in places:
            doubled.append(heading)
        else:
            places[name], spelled[name], units[name] = place, heading, unit
    return Headings(line.number, len(line.cells), places, spelled, units, tuple(unknown), tuple(doubled))


def _recognise(heading: str, names: Mapping[str, str]) -> tuple[str | None, str]:
    """Our name for a heading, and the unit or currency behind it: "Width (cm)", "price in EUR", "mass_g"."""
    if len(heading) > _LONGEST:
        return None, ""  # no heading, and what tells its unit would grow slow on it
    short = heading.strip().removesuffix("*").rstrip(".: ")  # a star marks what must be filled in
    plain = plain_words(short)
    if plain in names:
        return names[plain], ""
    match = re.fullmatch(r"(.*?)[\s,_/:(\[-]*(?:\bin\b)?[\s(\[]*([^\W\d_]+|[%\"$€£¥])[)\]]?", short.strip(), re.DOTALL)
    if match is None or plain_words(match.group(1)) not in names:
        return None, ""
    name, unit = names[plain_words(match.group(1))], match.group(2)
    known = _UNIT_NAMES.get(unit.casefold())
    if known or re.fullmatch(r"[A-Z]{3}|[$€£¥]", unit.upper()):
        return name, known or unit.upper()
    return None, ""
