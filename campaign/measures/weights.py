"""Weights as people type them, kept as whole grams."""

import re
from decimal import Decimal
from fractions import Fraction

from campaign.measures.errors import MeasureError
from campaign.measures.numbers import ambiguous, readings, tidy

HEAVIEST_G = 1_000_000
G_PER_POUND = Fraction(45_359_237, 100_000)
_G_PER_UNIT = {"g": Fraction(1), "kg": Fraction(1000), "lb": G_PER_POUND, "oz": G_PER_POUND / 16}
_NAMES = {
    "kg": "kg|kgs|kilos?|kilogram(?:me)?s?",
    "g": "g|gr|gram(?:me)?s?",
    "lb": "lb|lbs|pounds?",
    "oz": "oz|ozs|ounces?",
}
_ONE = re.compile(
    r"(?P<number>.*\d[.,]?) ?(?:" + "|".join(f"(?P<{unit}>{names})" for unit, names in _NAMES.items()) + r")?\.?",
    re.IGNORECASE,
)
_POUNDS_OUNCES = re.compile(rf"(\d+) ?(?:{_NAMES['lb']})\.?[ ,]*(\d[\d./ ]*) ?(?:{_NAMES['oz']})\.?", re.IGNORECASE)
_EXPECTED = "a weight such as 850 g, 1.2 kg or 2 lb 4 oz"


def _split(plain: str) -> tuple[tuple[Fraction, ...], str]:
    both = _POUNDS_OUNCES.fullmatch(plain)
    if both:
        return tuple(int(both[1]) * 16 + ounces for ounces in readings(both[2].strip())), "oz"
    match = _ONE.fullmatch(plain)
    if match is None:
        return (), "g"
    unit = next((name for name in _NAMES if match[name]), "g")
    return readings(match["number"].strip()), unit


def parse_weight_g(text: str, *, allow_zero: bool = False) -> int:
    """
    Read a weight: 850 · 850 g · 1.2 kg · 1,250 kg · 12 oz · 2 lb 4 oz; a bare number is grams.

    Returns: whole grams, rounded to the nearest, halves to even.
    Raises: MeasureError if it is no weight, negative, under half a gram (unless `allow_zero`), above one
        tonne, or in doubt: "1,250" is read only where one of 1.25 and 1250 is a possible weight.
    Source: 1 lb = 0.45359237 kg exactly, 16 oz to the pound.

    >>> parse_weight_g("1.2 kg"), parse_weight_g("2 lb 4 oz")
    (1200, 1021)
    """
    values, unit = _split(tidy(text))
    if not values:
        raise MeasureError(text, _EXPECTED)
    if min(values) < 0:
        raise MeasureError(text, _EXPECTED, reason="which is less than nothing")
    weights = {round(value * _G_PER_UNIT[unit]) for value in values}
    fitting = [grams for grams in weights if (0 if allow_zero else 1) <= grams <= HEAVIEST_G]
    if len(fitting) > 1:
        raise ambiguous(text, values)
    if not fitting:
        heavy = max(weights) > HEAVIEST_G
        reason = "which is more than a tonne" if heavy else "which is less than half a gram"
        raise MeasureError(text, _EXPECTED, reason=reason)
    return fitting[0]


def format_weight(g: int) -> str:
    """
    Write grams below a kilogram as grams, others as kilograms without losing a gram.

    >>> format_weight(850), format_weight(1250), format_weight(2000)
    ('850 g', '1.25 kg', '2 kg')
    """
    if abs(g) < 1000:
        return f"{g} g"
    whole = Decimal(g).scaleb(-3).normalize()
    return f"{whole:f} kg"


def format_pounds(g: int) -> str:
    """
    Write grams in pounds and ounces, to the nearest ounce.

    >>> format_pounds(1021), format_pounds(200), format_pounds(2722)
    ('2 lb 4 oz', '7 oz', '6 lb')
    """
    pounds, ounces = divmod(round(Fraction(g) / (G_PER_POUND / 16)), 16)
    if not pounds:
        return f"{ounces} oz"
    return f"{pounds} lb {ounces} oz" if ounces else f"{pounds} lb"
