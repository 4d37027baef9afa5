"""Lengths and sizes as an artist types them, kept as whole millimetres."""

import re
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from campaign.measures.errors import MeasureError
from campaign.measures.numbers import ambiguous, readings, tidy
from campaign.measures.paper import parse_paper_mm

LONGEST_MM = 20_000
MM_PER_INCH = Fraction(254, 10)
_MM_PER_UNIT = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "dm": Fraction(100),
    "m": Fraction(1000),
    "in": MM_PER_INCH,
    "ft": 12 * MM_PER_INCH,
}
_NAMES = {
    "mm": r"mm|millimet(?:re|er)s?",
    "cm": r"cm|centimet(?:re|er)s?",
    "dm": r"dm|decimet(?:re|er)s?",
    "m": r"m|met(?:re|er)s?",
    "in": r'"|in|ins|inch|inches|zoll',
    "ft": r"'|ft|foot|feet",
}
_UNIT = re.compile(
    r"(?P<number>.*\d[.,]?) ?(?:" + "|".join(f"(?P<{unit}>{names})" for unit, names in _NAMES.items()) + r")?\.?",
    re.IGNORECASE,
)
_FEET = re.compile(rf"(\d+) ?(?:{_NAMES['ft']})\.?[ ,]*(?:(\d[\d./ ]*) ?(?:{_NAMES['in']})?)\.?", re.IGNORECASE)
_CROSS = re.compile(r"\s*(?:[x×✕✖⨯х*]|\bby\b)\s*", re.IGNORECASE)
_SIDE = re.compile(r"\(?(?<![a-z])(w|h|wide|width|high|height|tall)(?![a-z])\)?[.:=]?", re.IGNORECASE)
_QUOTES = str.maketrans({"’": "'", "‘": "'", "´": "'", "`": "'", "′": "'", "”": '"', "“": '"', "„": '"', "″": '"'})
_EXPECTED = "a length such as 600, 60 cm, 24 in or 2' 6\""
_EXPECTED_SIZE = "width and height such as 600 x 400, 60 x 40 cm, 24 x 36 in or A3"


def _quotes(text: str) -> str:
    """One spelling for the marks of feet and inches, and for everything else."""
    return tidy(text.translate(_QUOTES)).replace("''", '"')


def _split(plain: str) -> tuple[tuple[Fraction, ...], str | None]:
    """The readings of a length and its unit, None if it carries none; feet and inches come out in inches."""
    feet = _FEET.fullmatch(plain)
    if feet:
        inches = readings(feet[2].strip())
        # 1'234 is a grouped thousand, not one foot and 234 inches.
        if len(inches) == 1 and inches[0] < 12:
            return (int(feet[1]) * 12 + inches[0],), "in"
    match = _UNIT.fullmatch(plain)
    if match is None:
        return (), None
    unit = next((name for name in _NAMES if match[name]), None)
    return readings(match["number"].strip()), unit


def _whole_mm(text: str, values: Sequence[Fraction], *, unit: str, least: int, expected: str) -> int:
    """The one reading that is a possible length, in whole millimetres, halves to even."""
    if not values:
        raise MeasureError(text, expected)
    lengths = {round(value * _MM_PER_UNIT[unit]): value for value in values}
    fitting = [mm for mm in lengths if least <= mm <= LONGEST_MM]
    if len(fitting) > 1:
        raise ambiguous(text, tuple(values))
    if fitting and min(values) >= 0:
        return fitting[0]
    if min(values) < 0:
        reason = "which is less than nothing"
    elif max(lengths) > LONGEST_MM:
        reason = f"which is more than {LONGEST_MM // 1000} m"
    else:
        reason = "which is less than half a millimetre"
    raise MeasureError(text, expected, reason=reason)


def _known_unit(unit: str) -> str:
    if unit not in _MM_PER_UNIT:
        raise ValueError(f"{unit!r} is not one of {', '.join(_MM_PER_UNIT)}")
    return unit


def parse_length_mm(text: str, *, default_unit: str = "mm", allow_zero: bool = False) -> int:
    """
    Read a length: 600 · 60cm · 60,5 cm · 1.2 m · 24" · 16 1/2 in · 16½" · 2' 6" · 2 ft 6 in.

    Parameters: default_unit, "mm", "cm", "dm", "m", "in" or "ft", for a bare number.
    Returns: whole millimetres, rounded to the nearest, halves to even (10.5 mm is 10, 11.5 mm is 12).
    Raises: MeasureError if it is no length, negative, under half a millimetre (unless `allow_zero`), above
        20 m, or in doubt: "1,234" is read only where one of 1.234 and 1234 is a possible length.
    Source: 1 in = 25.4 mm exactly; checked in tests/outside/test_iso216_sheets.py.

    >>> parse_length_mm("60,5 cm"), parse_length_mm("2' 6\\"")
    (605, 762)
    """
    _known_unit(default_unit)
    values, unit = _split(_quotes(text))
    return _whole_mm(text, values, unit=unit or default_unit, least=0 if allow_zero else 1, expected=_EXPECTED)


def parse_size_mm(text: str, *, default_unit: str = "mm") -> tuple[int, int]:
    """
    Read a size as (width, height): 24x36" · 60×40 cm · 60 by 40 · 36 h x 24 w in · A3 · A2 landscape.

    Parameters: default_unit, for two bare numbers; a unit on one side holds for both.
    Returns: whole millimetres, width first unless w and h say otherwise; paper stands upright unless
        "landscape" is written.
    Raises: MeasureError as for `parse_length_mm`, and for one or three lengths.

    >>> parse_size_mm('24x36"'), parse_size_mm("A3 landscape")
    ((610, 914), (420, 297))
    """
    _known_unit(default_unit)
    plain = _quotes(text)
    paper = parse_paper_mm(plain)
    if paper is not None:
        return paper
    parts = _CROSS.split(plain)
    if len(parts) != 2:
        reason = "which has more than two lengths" if len(parts) > 2 else ""
        raise MeasureError(text, _EXPECTED_SIZE, reason=reason)
    sides = "".join(mark[0].lower() for part in parts for mark in _SIDE.findall(part)).replace("t", "h")
    if sides not in ("", "wh", "hw"):
        raise MeasureError(text, _EXPECTED_SIZE, reason="where w and h do not stand once each")
    first, second = (_split(" ".join(_SIDE.sub(" ", part).split())) for part in parts)
    shared = first[1] or second[1] or default_unit
    one, other = (
        _whole_mm(text, values, unit=unit or shared, least=1, expected=_EXPECTED_SIZE)
        for values, unit in (first, second)
    )
    return (other, one) if sides == "hw" else (one, other)


@lru_cache(maxsize=4096)  # a drawing writes the same few lengths again and again, and fractions are slow
def _shortest(mm: int, unit: str) -> str:
    """The number with the fewest decimals that reads back as the same millimetres: 610 mm is 24 in."""
    per_unit = _MM_PER_UNIT[_known_unit(unit)]
    places = 0
    while round(Fraction(scaled := round(mm / per_unit * 10**places), 10**places) * per_unit) != mm:
        places += 1
    return str(Decimal(scaled).scaleb(-places))


def format_length(mm: int, *, unit: str = "mm") -> str:
    """
    Write whole millimetres in a unit, with the fewest decimals that still mean the same millimetre.

    Raises: ValueError for an unknown unit.

    >>> format_length(605, unit="cm"), format_length(610, unit="in")
    ('60.5 cm', '24 in')
    """
    return f"{_shortest(mm, unit)} {unit}"


def format_size(width_mm: int, height_mm: int, *, unit: str = "mm") -> str:
    """
    Write width × height in a unit; `parse_size_mm` reads it back.

    >>> format_size(610, 914, unit="in")
    '24 × 36 in'
    """
    return f"{_shortest(width_mm, unit)} × {_shortest(height_mm, unit)} {unit}"


def format_sixteenths(mm: int) -> str:
    """
    Write millimetres as a tape in inches shows them, to the nearest sixteenth, without the unit.

    >>> format_sixteenths(610), format_sixteenths(1237), format_sixteenths(3)
    ('24', '48 11/16', '1/8')
    """
    whole, sixteenths = divmod(round(Fraction(mm) / _MM_PER_UNIT["in"] * 16), 16)
    if not sixteenths:
        return str(whole)
    part = Fraction(sixteenths, 16)
    return f"{whole} {part}" if whole else str(part)
