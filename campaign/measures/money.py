"""Money as whole minor units of one currency: reading, writing, sharing out and fees, all in integers."""

import re
from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from babel import Locale
from babel.numbers import NumberPattern, is_currency

from campaign.measures.errors import MeasureError
from campaign.measures.numbers import readings, tidy
from campaign.measures.signs import sign_fits

BP_PER_WHOLE = 10_000
LARGEST_MINOR = 10**15
# ISO 4217 list one. CLDR (and so Babel) follows cash practice instead: it gives IQD and MGA no decimals.
_NO_DIGITS = [
    "BIF",
    "CLP",
    "DJF",
    "GNF",
    "ISK",
    "JPY",
    "KMF",
    "KRW",
    "PYG",
    "RWF",
    "UGX",
    "UYI",
    "VND",
    "VUV",
    "XAF",
    "XOF",
    "XPF",
]
_THREE_DIGITS = ["BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"]
_DIGITS = dict.fromkeys(_NO_DIGITS, 0) | dict.fromkeys(_THREE_DIGITS, 3) | {"CLF": 4, "UYW": 4}
# A number may begin with its decimal mark (.50) unless a letter stands before it (Fr.50 is fifty).
_AMOUNT = re.compile(
    r"(?P<front>\D*?)(?P<number>(?:\d|(?<![^\W\d_])[.,٫](?=\d))(?:[\d.,'’ ٫٬]*\d)?(?:[.,](?=$|\D))?)(?P<back>\D*)"
)

_LETTER_BEFORE_DIGIT = re.compile(r"(?<=[^\W\d_])(?=\d)")


@dataclass(frozen=True, slots=True, order=False)
class Money:
    """An amount in minor units (cents) of an ISO 4217 currency; adding two currencies is refused."""

    minor: int
    currency: str

    def __post_init__(self) -> None:
        currency_digits(self.currency)

    def __add__(self, other: "Money") -> "Money":
        self._same_currency(other)
        return Money(self.minor + other.minor, self.currency)

    def __sub__(self, other: "Money") -> "Money":
        self._same_currency(other)
        return Money(self.minor - other.minor, self.currency)

    def _same_currency(self, other: "Money") -> None:
        if other.currency != self.currency:
            raise ValueError(f"{self.currency} and {other.currency} cannot be added")


@lru_cache(maxsize=512)
def currency_digits(currency: str) -> int:
    """
    Number of decimals of a currency by ISO 4217 (EUR 2, JPY 0, KWD 3, CLF 4).

    Raises: MeasureError if the code is not a currency.
    Source: ISO 4217 list one; checked in tests/outside/test_iso4217_digits.py.
    """
    if not (currency.isupper() and is_currency(currency)):
        raise MeasureError(currency, "a three-letter currency code such as EUR")
    return _DIGITS.get(currency, 2)


def parse_minor(text: str, *, currency: str, allow_negative: bool = False) -> int:
    """
    Read an amount as minor units: 12 · 12,50 · € 12 · 12 EUR · 12,- · $1,234.50 · 1'234.50 · 1.234,50.

    Parameters: currency, ISO 4217; a sign or code in the text must belong to it.
    Raises: MeasureError if it is no amount, carries another currency's sign, has more decimals than the
        currency, is negative without `allow_negative`, or exceeds 10**15 minor units.
    Notes: one comma or point before exactly three digits groups thousands ("1,234" EUR is 1234.00), unless
        the currency itself has three or more decimals: then it is the decimal mark.

    >>> parse_minor("€ 1.234,50", currency="EUR"), parse_minor("12,-", currency="EUR")
    (123450, 1200)
    """
    digits = currency_digits(currency)
    expected = _example(currency, digits)
    plain = tidy(text)
    match = _AMOUNT.fullmatch(re.sub(r"(?<=\d)[.,] ?-+(?=\D*$)", "", plain))
    if match is None:
        raise MeasureError(text, expected)
    around = match["front"] + match["back"]
    sign = re.sub(r"[- +]", "", around)
    if sign and not sign_fits(sign, currency):
        typed = " ".join(re.split(r"[- +]+", around)).strip()  # its words apart, as they were typed
        raise MeasureError(text, expected, reason=f"and “{typed}” does not stand for {currency}")
    if around.count("-") > 1:
        raise MeasureError(text, expected)
    value = _exact_minor(match["number"].strip(), digits)
    if value is None:
        raise MeasureError(text, expected)
    if "-" in around and value and not allow_negative:
        raise MeasureError(text, expected, reason="which is less than nothing")
    if value > LARGEST_MINOR:
        raise MeasureError(text, expected, reason="which is too large")
    return -value if "-" in around else value


def _exact_minor(number: str, digits: int) -> int | None:
    """The reading of `number` that is a whole count of minor units, or None."""
    values = readings(number)
    if not values:
        return None
    scaled = (values[0] if digits >= 3 else values[-1]) * 10**digits
    return int(scaled) if scaled.denominator == 1 else None


def _example(currency: str, digits: int) -> str:
    decimals = f" with at most {digits} decimals" if digits else " without decimals"
    return f"an amount in {currency}{decimals}, such as {Decimal(125 * 10**digits // 10).scaleb(-digits)}"


@lru_cache(maxsize=256)
def _pattern(locale: str, digits: int) -> tuple[NumberPattern, Locale]:
    found = Locale.parse(locale.replace("-", "_"))
    pattern = copy(found.currency_formats["standard"])
    pattern.frac_prec = (digits, digits)
    return pattern, found


def format_minor(minor: int, *, currency: str, locale: str = "en") -> str:
    """
    Write an amount the way a country writes it, always with the currency's full decimals.

    Parameters: locale, as in "en", "de_CH" or "pt-br".
    Returns: text that `parse_minor` reads back to the same number (checked for 30 locales × 8 currencies).

    >>> format_minor(123450, currency="EUR", locale="en")
    '€1,234.50'
    """
    return _written(minor, currency=currency, locale=locale, digits=currency_digits(currency))


def format_round(minor: int, *, currency: str, locale: str = "en") -> str:
    """
    Write an amount as briefly as it is exact: without decimals where they are all zero; for the marks of a scale.

    >>> format_round(50000, currency="EUR"), format_round(50050, currency="EUR")
    ('€500', '€500.50')
    """
    digits = currency_digits(currency)
    return _written(minor, currency=currency, locale=locale, digits=digits if minor % 10**digits else 0)


@lru_cache(maxsize=4096)  # a page says the same few sums again and again, and so do its mails
def _written(minor: int, *, currency: str, locale: str, digits: int) -> str:
    pattern, found = _pattern(locale, digits)
    value = Decimal(minor).scaleb(-currency_digits(currency))
    written = str(pattern.apply(value, found, currency=currency, currency_digits=False))
    # A currency written in letters stands off its number (CHF 12.50), as CLDR asks and Babel leaves out.
    return _LETTER_BEFORE_DIGIT.sub("\u00a0", written)


def allocate(total: int, weights: Sequence[int]) -> tuple[int, ...]:
    """
    Share `total` out in proportion to whole weights, so that the shares add up to it exactly.

    Parameters: total, any integer (a negative total mirrors the positive one); weights, >= 0, not all zero.
    Returns: len(weights) shares, each within one of its exact quota.
    Raises: ValueError if the weights are empty, negative or all zero.
    Notes: largest remainder; equal remainders go to the lowest index. O(n log n).
    Source: largest remainder (Hamilton) method; checked in tests/outside/test_largest_remainder.py.

    >>> allocate(100, (1, 1, 1))
    (34, 33, 33)
    """
    whole = sum(weights)
    if whole <= 0 or min(weights) < 0:
        raise ValueError("weights must be zero or more and not all zero")
    amount = abs(total)
    shares = [amount * weight // whole for weight in weights]
    order = sorted(range(len(weights)), key=lambda i: (-(amount * weights[i] % whole), i))
    for index in order[: amount - sum(shares)]:
        shares[index] += 1
    return tuple(share if total >= 0 else -share for share in shares)


def portion(amount_minor: int, *, numerator: int, denominator: int) -> int:
    """
    amount × numerator ÷ denominator, rounded to the nearest integer, halves to the even one.

    Raises: ValueError if the denominator is not positive.

    >>> portion(25, numerator=1, denominator=10), portion(35, numerator=1, denominator=10)
    (2, 4)
    """
    if denominator <= 0:
        raise ValueError("denominator must be positive")
    quotient, rest = divmod(amount_minor * numerator, denominator)
    round_up = 2 * rest > denominator or (2 * rest == denominator and quotient % 2 == 1)
    return quotient + round_up


def portion_bp(amount_minor: int, *, bp: int) -> int:
    """Share of an amount in basis points (1 % = 100), halves to even; the other side is the difference."""
    return portion(amount_minor, numerator=bp, denominator=BP_PER_WHOLE)


def gross_up(net_minor: int, *, fee_bp: int, fee_fixed_minor: int) -> int:
    """
    Smallest safe charge that leaves at least `net_minor` after a fee of fee_bp of the charge plus a fixed part.

    Raises: ValueError unless 0 <= fee_bp < 10 000.
    Notes: (net + fixed) ÷ (1 − fee), rounded up to the minor unit.
    Source: checked in tests/outside/test_fee_gross_up.py.

    >>> gross_up(10000, fee_bp=290, fee_fixed_minor=30)
    10330
    """
    if not 0 <= fee_bp < BP_PER_WHOLE:
        raise ValueError("fee_bp must be from 0 to 9999")
    return -(-(net_minor + fee_fixed_minor) * BP_PER_WHOLE // (BP_PER_WHOLE - fee_bp))
