"""Quantities, prices and sizes in the words of a cost line; the sums themselves are in `costs` and `bills`."""

from dataclasses import dataclass
from fractions import Fraction

from campaign.measures.money import format_minor
from campaign.planning.specs import PriceItem

MICRO = 1_000_000
UNIT_WORDS = {"piece": "piece", "m": "m", "m2": "m²", "ml": "ml", "minute": "min"}


@dataclass(frozen=True, slots=True)
class Wording:
    """How amounts and sizes are written in cost lines: ISO 4217 code, locale, and mm, cm or in."""

    currency: str
    locale: str = "en"
    length_unit: str = "mm"

    def money(self, minor: int) -> str:
        """An amount in words."""
        return format_minor(minor, currency=self.currency, locale=self.locale)


def number_words(value: Fraction) -> str:
    """
    A quantity with at most three decimals, which is all that thousandths need.

    >>> number_words(Fraction(5, 2))
    '2.5'
    """
    return f"{float(value):.3f}".rstrip("0").rstrip(".")


def measure_words(value: Fraction) -> str:
    """A measured length or area: two decimals, below one three."""
    return f"{float(value):.3f}" if value < 1 else f"{float(value):.2f}"


def quantity_words(quantity: Fraction, unit: str) -> str:
    """
    A quantity with its unit.

    >>> quantity_words(Fraction(4), "piece"), quantity_words(Fraction(1), "piece")
    ('4 pieces', '1 piece')
    """
    word = UNIT_WORDS.get(unit, unit)
    plural = "s" if unit == "piece" and quantity != 1 else ""
    return f"{number_words(quantity)} {word}{plural}"


def micro_words(quantity_micro: int, unit: str) -> str:
    """Millionths of a unit with the unit."""
    return quantity_words(Fraction(quantity_micro, MICRO), unit)


def price_words(item: PriceItem, *, wording: Wording) -> str:
    """What a unit costs, or how many units a price is for."""
    price = wording.money(item.price_minor)
    if item.per_milli == 1000:
        return price
    return f"{price} per {quantity_words(Fraction(item.per_milli, 1000), item.unit)}"


def source_words(item: PriceItem) -> str:
    """
    Where a supply comes from.

    >>> source_words(PriceItem("bar", "Oak", "m", 900, per_milli=3000, is_sold_in_packs=True))
    'from packs of 3 m bought for the show'
    """
    if not item.is_sold_in_packs:
        return "from the shelf first, the rest bought for the show"
    pack = "whole pieces" if (item.unit, item.per_milli) == ("piece", 1000) else ""
    pack = pack or f"packs of {quantity_words(Fraction(item.per_milli, 1000), item.unit)}"
    packs = f"{pack} bought for the show"
    return f"from the shelf first, then {packs}" if item.shelf_milli else f"from {packs}"
