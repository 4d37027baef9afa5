"""
Sums that must come out to the last cent, many times over: shared out, cut by a percentage, written and read back.

Stated limits: 20,000 cases from one seed, which is printed; every tie of the half cent at the rates of the trade; 30
locales by 8 currencies. What each function promises case by case is tested beside it, in
tests/campaign/measures/test_money.py.
"""

import random
import time
from fractions import Fraction
from itertools import product

import pytest

from campaign.measures.money import allocate, currency_digits, format_minor, parse_minor, portion_bp
from tests.campaign.measures.test_money import CURRENCIES, LOCALES
from tests.reliability import record

pytestmark = pytest.mark.faults
SEED, EACH = 20_261_126, 7_000
# Commissions, taxes and fees as they are asked for: 30, 33.33, 40, 50 %, 19, 7, 5.5, 8.1 %, 1.5, 2.9 %.
RATES_BP = (3_000, 3_333, 4_000, 5_000, 1_900, 700, 550, 810, 150, 290, 1, 9_999, 10_000)


def half_even(exact: Fraction) -> int:
    """The nearest whole number, of two equally near ones the even one: said once more, in exact fractions."""
    below = exact.numerator // exact.denominator
    rest = exact - below
    return below + (rest > Fraction(1, 2) or (rest == Fraction(1, 2) and below % 2 == 1))


def shares_wrong(chance: random.Random) -> int:
    """Shares that do not add up, or are a whole cent or more from their exact quota."""
    wrong = 0
    for _ in range(EACH):
        total = chance.randrange(-(10**9), 10**9)
        weights = [chance.randrange(10 ** chance.randrange(1, 7)) for _ in range(chance.randrange(1, 25))] + [1]
        shares = allocate(total, weights)
        exact = [Fraction(total * weight, sum(weights)) for weight in weights]
        is_near = all(abs(share - quota) < 1 for share, quota in zip(shares, exact, strict=True))
        wrong += sum(shares) != total or not is_near
    return wrong


def ties() -> list[tuple[int, int]]:
    """Amounts of which a rate leaves exactly half a cent, up to 400.00, both signs."""
    found = [(amount, bp) for bp in RATES_BP for amount in range(40_001) if 2 * amount * bp % 20_000 == 10_000]
    return found + [(-amount, bp) for amount, bp in found]


def test_twenty_thousand_sums_come_out_to_the_last_cent():
    started, chance = time.monotonic(), random.Random(SEED)
    amounts = [(chance.randrange(-(10**12), 10**12), chance.choice(RATES_BP)) for _ in range(EACH)]
    cuts = amounts + ties()
    cut_wrong = sum(portion_bp(amount, bp=bp) != half_even(Fraction(amount * bp, 10_000)) for amount, bp in cuts)
    places = list(product(LOCALES, CURRENCIES))
    read_wrong = 0
    for number in range(EACH):
        locale, currency = places[number % len(places)]
        minor = chance.randrange(-(10 ** chance.randrange(1, 16)), 10 ** chance.randrange(1, 16))
        written = format_minor(minor, currency=currency, locale=locale)
        read_wrong += parse_minor(written, currency=currency, allow_negative=True) != minor
    figures = {"shares_wrong": shares_wrong(chance), "cuts_wrong": cut_wrong, "read_back_wrong": read_wrong}
    record(
        "5 money properties", cases=2 * EACH + len(cuts), ties=len(cuts) - EACH, locales=len(LOCALES),
        currencies=len(CURRENCIES), seed=SEED, seconds=round(time.monotonic() - started, 1), **figures,
    )  # fmt: skip
    assert figures == dict.fromkeys(figures, 0)
    assert len(cuts) - EACH > 1_000 and 2 * EACH + len(cuts) >= 20_000
    assert {currency_digits(currency) for currency in CURRENCIES} == {0, 2, 3}
