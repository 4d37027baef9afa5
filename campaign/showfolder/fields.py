"""One cell into one value: what a number, a length or a code may look like. Not for countries or whole rows."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from campaign.measures.errors import MeasureError
from campaign.measures.lengths import parse_length_mm, parse_size_mm
from campaign.measures.limits import whole_milli
from campaign.measures.money import BP_PER_WHOLE, LARGEST_MINOR, format_minor, parse_minor
from campaign.measures.numbers import parse_count, parse_date, parse_decimal, parse_flag, parse_percent_bp
from campaign.measures.weights import parse_weight_g


class FieldRefused(ValueError):
    """A cell cannot be read; the message is one sentence that says what would do."""


@dataclass(frozen=True, slots=True)
class Context:
    """
    What a cell's reading depends on besides the cell.

    unit: the unit in the column's heading, "" if none. length_unit: the show's own for bare numbers, "" if it has none.
    currency: ISO 4217. time_zone: IANA name, for moments.
    """

    unit: str = ""
    length_unit: str = ""
    currency: str = "EUR"
    time_zone: str = "UTC"


# What reads a cell. It is called with text that is not empty and raises FieldRefused or MeasureError.
Reader = Callable[[str, Context], object]

_LENGTH_UNITS = {"mm", "cm", "m", "in", "ft"}
_BARE = re.compile(r"[\d\s.,'/½¼¾-]+")
_BARE_SIZE = re.compile(r"[\d\s.,'/½¼¾-]+([x×*]|by)[\d\s.,'/½¼¾-]+", re.IGNORECASE)


def text(limit: int) -> Reader:
    """One line of text of at most `limit` letters; line breaks become spaces."""

    def read(cell: str, _: Context) -> str:
        return _limited(" ".join(cell.split()), limit=limit)

    return read


def prose(limit: int) -> Reader:
    """Text with its line breaks, at most `limit` letters."""

    def read(cell: str, _: Context) -> str:
        return _limited("\n".join(line.rstrip() for line in cell.split("\n")).strip(), limit=limit)

    return read


def _limited(cell: str, *, limit: int) -> str:
    if len(cell) > limit:
        raise FieldRefused(f"It has {len(cell):,} letters; shorten it to {limit:,}.")
    return cell


def refuse_control(cell: str) -> None:
    """No text holds a character that steers a machine; a database would not keep it. Raises: FieldRefused."""
    if any(ord(letter) < 32 and letter not in "\n\r\t" for letter in cell):
        raise FieldRefused("There is a control character in it; type the text again.")


def code(cell: str, _: Context) -> str:
    """A short name for one row: letters, digits, - _ and . (spaces become -), at most 40."""
    joined = "-".join(cell.split())
    if not re.fullmatch(r"[^\W_][\w.-]*", joined) or len(joined) > 40:
        raise FieldRefused("A code is a short name of letters, digits and hyphens, such as w07 or north-wall.")
    return joined


def codes(cell: str, context: Context) -> tuple[str, ...]:
    """Several codes, with semicolons, commas, plus signs or new lines between."""
    found = tuple(code(part, context) for part in re.split(r"[;,+\n|]", cell) if part.strip())
    return tuple(dict.fromkeys(found))


def length(*, allow_zero: bool = False) -> Reader:
    """A length in whole millimetres; a bare number needs a unit in the heading or in the settings."""

    def read(cell: str, context: Context) -> int:
        return _length_mm(cell, context, allow_zero=allow_zero)

    return read


def _length_unit(context: Context) -> str:
    if context.unit and context.unit not in _LENGTH_UNITS:
        raise FieldRefused(f"The heading says {context.unit}, which is no unit of length; write mm, cm or in there.")
    return context.unit or context.length_unit


def _length_mm(cell: str, context: Context, *, allow_zero: bool = False) -> int:
    unit = _length_unit(context)
    if not unit and _BARE.fullmatch(cell) and cell.strip("0., "):
        raise FieldRefused(f"The unit is missing; write {cell} cm, or name the unit in the heading.")
    return parse_length_mm(cell, default_unit=unit or "mm", allow_zero=allow_zero)


def size(cell: str, context: Context) -> tuple[int, int]:
    """Width and height in whole millimetres."""
    unit = _length_unit(context)
    if not unit and _BARE_SIZE.fullmatch(cell):
        raise FieldRefused(f"The unit is missing; write {cell} cm, or name the unit in the heading.")
    return parse_size_mm(cell, default_unit=unit or "mm")


def sizes(cell: str, context: Context) -> tuple[tuple[int, int, int], ...]:
    """
    Several sizes of a work as (width_mm, height_mm, factor_percent): "60x40cm; 90x60cm = 130%".

    The factor follows "=", ":" or stands in brackets; without one it is 100.
    """
    found: list[tuple[int, int, int]] = []
    # Long runs of spaces are what patterns grow slow on.
    for part in re.split(r"[;\n|]|,\s", re.sub(r"[^\S\n]+", " ", cell)):
        if not part.strip():
            continue
        match = re.fullmatch(r"(?P<size>.*?)\s*(?:[=:(]\s*(?P<factor>[\d.,]+)\s*%?\s*\)?)?", part.strip(), re.DOTALL)
        if match is None:
            raise FieldRefused("Write sizes as 60x40cm; 90x60cm = 130%.")
        factor = parse_count(match["factor"]) if match["factor"] else 100
        if not 1 <= factor <= 1000:
            raise FieldRefused(f"A size counts from 1 % to 1000 %, and {factor} % is outside; 100 % is neutral.")
        width_mm, height_mm = size(match["size"], context)
        if (width_mm, height_mm) in [(entry[0], entry[1]) for entry in found]:
            raise FieldRefused(f"The size {match['size'].strip()} stands there twice; keep it once.")
        found.append((width_mm, height_mm, factor))
    if not found:
        raise FieldRefused("Write at least one size, such as 60x40cm.")
    return tuple(found)


def parcel(cell: str, context: Context) -> tuple[int, int, int]:
    """Width, height and depth of a parcel in whole millimetres; a unit at the end holds for all three."""
    parts = [part.strip() for part in re.split(r"[x×*]|\bby\b", cell, flags=re.IGNORECASE)]
    if len(parts) != 3 or not all(parts):
        raise FieldRefused("Write the packed size as three lengths, such as 35 x 45 x 2 cm.")
    last = re.search(r"([a-z\"'″]+)\.?$", parts[2], re.IGNORECASE)
    shared = last.group(1) if last else ""
    with_units = [f"{part} {shared}" if shared and _BARE.fullmatch(part) else part for part in parts]
    width_mm, height_mm, depth_mm = (_length_mm(part, context) for part in with_units)
    return width_mm, height_mm, depth_mm


def money(*, allow_zero: bool = True, most_minor: int = LARGEST_MINOR) -> Reader:
    """An amount in minor units of the show's currency, never negative, at most `most_minor`."""

    def read(cell: str, context: Context) -> int:
        # A currency in the heading counts for every cell that names none itself.
        with_currency = f"{cell} {context.unit}" if context.unit and _BARE.fullmatch(cell) else cell
        amount_minor = parse_minor(with_currency, currency=context.currency)
        if not amount_minor and not allow_zero:
            raise FieldRefused("It must be more than nothing; write the price of one.")
        if amount_minor > most_minor:
            most = format_minor(most_minor, currency=context.currency)
            raise FieldRefused(f"The amount is too large; write at most {most}.")
        return amount_minor

    return read


def count(least: int, most: int) -> Reader:
    """A whole number between two bounds, both included."""

    def read(cell: str, _: Context) -> int:
        number = parse_count(cell)
        if not least <= number <= most:
            raise FieldRefused(f"Write a whole number from {least:,} to {most:,}.")
        return number

    return read


def percent(cell: str, _: Context) -> int:
    """A percentage from 0 to 100 as basis points."""
    return parse_percent_bp(cell)


def tax_rate(cell: str, _: Context) -> int:
    """A tax as basis points, below 100 %."""
    found = parse_percent_bp(cell)
    if found >= BP_PER_WHOLE:
        raise FieldRefused("Write a rate below 100 %, such as 7 %.")
    return found


def weight(cell: str, context: Context) -> int:
    """A weight in whole grams."""
    unit = context.unit if context.unit in {"g", "kg", "lb", "oz"} else "g"
    return parse_weight_g(f"{cell} {unit}" if _BARE.fullmatch(cell) else cell, allow_zero=True)


def milli(cell: str, _: Context) -> int:
    """A quantity above nothing as thousandths; a word behind it ("50 pcs") is passed over."""
    return whole_milli(_bare_number(cell), text=cell, least_milli=1)


def shelf(cell: str, _: Context) -> int:
    """What is there already, as thousandths; nothing is a quantity too."""
    return whole_milli(_bare_number(cell), text=cell)


def _bare_number(cell: str) -> Fraction:
    return parse_decimal(re.sub(r"(?<=[\d.,½¼¾])\s*[^\W\d_]+[²2]?\.?$", "", cell.strip()))


def coverage(cell: str, _: Context) -> int:
    """Ink as a whole percentage of what is usual, 0 to 400; a percent sign behind it is passed over."""
    number = parse_count(cell.strip().removesuffix("%").strip())
    if not 0 <= number <= 400:
        raise FieldRefused("Write how much ink it takes as a percentage from 0 to 400; 100 is usual.")
    return number


def flag(cell: str, _: Context) -> bool:
    """Yes or no."""
    return parse_flag(cell)


def day(cell: str, _: Context) -> date:
    """A day of this or the neighbouring centuries; a time behind it is passed over."""
    found = parse_date(re.sub(r"[ T]\d{1,2}:\d\d(:\d\d)?$", "", cell.strip()))
    if not 1900 <= found.year <= 2200:
        raise FieldRefused(f"The year {found.year} cannot be meant; write a year such as 2026.")
    return found


def choice(words: dict[str, str], *, example: str) -> Reader:
    """One of a few words; `words` maps every accepted spelling (case folded) to ours."""

    def read(cell: str, _: Context) -> str:
        found = words.get(" ".join(cell.casefold().replace("_", " ").split()).strip("."))
        if found is None:
            raise FieldRefused(f"Write {example}.")
        return found

    return read


def sentence_of(fault: FieldRefused | MeasureError) -> str:
    """The words of a refusal without the cell's own text, which the verdict shows beside it."""
    if isinstance(fault, MeasureError):
        why = re.search(r"”, (.*); write ", str(fault))
        reason = f"It cannot be read, {why.group(1)}; write" if why else "Write"
        return f"{reason} {fault.expected}."
    return str(fault)
