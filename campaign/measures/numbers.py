"""Numbers as people type them, read exactly; no float is ever made here."""

import re
import unicodedata
from fractions import Fraction

from campaign.measures.dates import parse_date as parse_date
from campaign.measures.errors import MeasureError

LONGEST_TEXT = 80
_VULGAR = re.compile("[¼-¾⅐-⅞]")
_DASHES = str.maketrans(dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-"))
_MIXED = re.compile(r"(?:(\d+) +)?(\d+) ?[/⁄] ?(\d+)")
_GROUPED = re.compile(r"[1-9]\d{0,2}(?P<mark>[.,' ])\d{3}(?:(?P=mark)\d{3})*|[1-9]\d?(?:,\d{2})+,\d{3}")
_YES = frozenset(["yes", "y", "true", "t", "1", "x", "on", "ja", "j", "oui", "si", "sí", "✓", "✔", "☑"])
_NO = frozenset(["no", "n", "false", "f", "0", "off", "nein", "non", "-", "✗", "☐"]) | {""}


def tidy(text: str) -> str:
    """
    Bring typed text to one spelling: plain digits, plain spaces, plain minus, no invisible marks.

    Raises: MeasureError if the text is longer than any measure (80 characters).
    Notes: ½ becomes " 1/2" so that 16½ stays sixteen and a half; digits of any script become 0–9.

    >>> tidy(" 16½ in ")
    '16 1/2 in'
    """
    if len(text) > LONGEST_TEXT:
        raise MeasureError(text, f"at most {LONGEST_TEXT} characters", reason="which is too long")
    spaced = _VULGAR.sub(lambda match: " " + unicodedata.normalize("NFKC", match.group()), text)
    # Superscripts would silently join the digits before them (5² is not 52).
    if any(character in "⁰¹²³⁴⁵⁶⁷⁸⁹" for character in spaced):
        raise MeasureError(text, "plain digits", reason="which has raised digits")
    plain = unicodedata.normalize("NFKC", spaced).translate(_DASHES)
    kept = (_plain_digit(character) for character in plain if unicodedata.category(character) != "Cf")
    return " ".join("".join(kept).replace("⁄", "/").split())


def _plain_digit(character: str) -> str:
    value = unicodedata.decimal(character, None)
    return character if value is None else str(value)


def readings(text: str) -> tuple[Fraction, ...]:
    """
    Every value that `text` (already tidied) can stand for: none, one, or two.

    Returns: () if it is no number; two values only for one comma or point with three digits behind it
        and one to three before it ("1,234"), the decimal reading first.
    Notes: a point and a comma together are never in doubt, the later one is the decimal mark;
        a space or an apostrophe only groups thousands; 12,34,567 is grouped as in South Asia.

    >>> readings("1.234,50")
    (Fraction(2469, 2),)
    >>> readings("1,234")
    (Fraction(617, 500), Fraction(1234, 1))
    """
    sign = -1 if text.startswith("-") else 1
    body = (text[1:] if text[:1] in ("-", "+") else text).strip()
    mixed = _MIXED.fullmatch(body)
    if mixed:
        whole, over, under = (int(part or 0) for part in mixed.groups())
        return (sign * (whole + Fraction(over, under)),) if under else ()
    body = body.replace("’", "'").replace("٬", "'")
    values = [*_decimal_reading(body), *_whole_reading(body)]
    return tuple(dict.fromkeys(sign * value for value in values))


def _whole_reading(body: str) -> tuple[Fraction, ...]:
    if body.isdecimal() or _GROUPED.fullmatch(body):
        return (Fraction(re.sub(r"\D", "", body)),)
    return ()


def _decimal_reading(body: str) -> tuple[Fraction, ...]:
    marks = [position for position, character in enumerate(body) if character in ".,٫"]
    if not marks:
        return ()
    whole, mark, places = body[: marks[-1]], body[marks[-1]], body[marks[-1] + 1 :]
    if mark in whole or not (places.isdecimal() or not places) or not (whole or places):
        return ()
    wholes = _whole_reading(whole) if whole else (Fraction(0),)
    return tuple(value + Fraction(int(places or 0), 10 ** len(places)) for value in wholes)


def parse_decimal(text: str) -> Fraction:
    """
    Read one number exactly: 1.234,50 · 1,234.50 · 1'234.5 · 1 234,5 · 16 1/2 · -3.

    Raises: MeasureError if it is no number, or if one comma or point stands before exactly three digits
        ("1,234", "1.250") and nothing tells thousands from decimals.

    >>> parse_decimal("1'234.5")
    Fraction(2469, 2)
    """
    values = readings(tidy(text))
    if not values:
        raise MeasureError(text, "a number such as 12, 12.5 or 12,5")
    if len(values) > 1:
        raise ambiguous(text, values)
    return values[0]


def ambiguous(text: str, values: tuple[Fraction, ...]) -> MeasureError:
    """The refusal of a number with two readings; `values` as `readings` gives them."""
    small, large = values
    places = f"{abs(small).numerator * 1000 // abs(small).denominator:04d}"
    sign = "-" if small < 0 else ""
    decimal = f"{sign}{places[:-3]}.{places[-3:]}"
    return MeasureError(
        text, f"{large} or {decimal}0, whichever is meant", reason=f"which could mean {decimal} or {large}"
    )


def parse_count(text: str) -> int:
    """
    Read a whole number of things, zero or more; 1,234 is one thousand two hundred and thirty-four.

    Raises: MeasureError for fractions, negative numbers and anything above 999,999,999.

    >>> parse_count("1.000")
    1000
    """
    wholes = [value for value in readings(tidy(text)) if value.denominator == 1]
    expected = "a whole number such as 12"
    if not wholes:
        raise MeasureError(text, expected)
    # "1.000" has two whole readings, one and a thousand; nobody counts in thousandths.
    value = wholes[-1]
    if value < 0:
        raise MeasureError(text, expected, reason="which is less than nothing")
    if value > 999_999_999:
        raise MeasureError(text, expected, reason="which is too large")
    return int(value)


def parse_percent_bp(text: str) -> int:
    """
    Read a percentage from 0 to 100 as basis points (hundredths of one per cent); the sign is optional.

    Raises: MeasureError outside 0–100 % and for more than two decimals.

    >>> parse_percent_bp("2,9 %")
    290
    """
    body = re.sub(r" ?(?:%|percent|per cent)$", "", tidy(text), flags=re.IGNORECASE)
    expected = "a percentage from 0 to 100 with at most two decimals, such as 2.9 %"
    fitting = [value * 100 for value in readings(body) if 0 <= value <= 100]
    if len(fitting) != 1 or fitting[0].denominator != 1:
        raise MeasureError(text, expected)
    return int(fitting[0])


def parse_flag(text: str) -> bool:
    """
    Read yes or no as written in a list: yes, y, true, 1, x, ja, oui, ✓; no, n, false, 0, -, an empty cell.

    Raises: MeasureError for anything else.

    >>> parse_flag("Ja"), parse_flag("")
    (True, False)
    """
    word = tidy(text).casefold()
    if word in _YES:
        return True
    if word in _NO:
        return False
    raise MeasureError(text, "yes or no")
