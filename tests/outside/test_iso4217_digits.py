"""
Source: ISO 4217, list one (currency codes and minor units), from memory; to be checked against the list.
Edition: as of 2015 and later amendments; read 2026-11-25 in the project's notes on the trade.
What is checked: how many decimals a currency has, and that amounts keep to them.
Tolerance: none, whole numbers.
"""

import pytest

from campaign.measures.money import allocate, currency_digits, format_minor, parse_minor

pytestmark = pytest.mark.outside

NO_DIGITS = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF"
TWO_DIGITS = "EUR USD GBP CHF SEK NOK DKK PLN CZK HUF TWD MGA MRU CAD AUD NZD INR BRL ZAR TRY"
THREE_DIGITS = "BHD IQD JOD KWD LYD OMR TND"
FOUR_DIGITS = "CLF UYW"


@pytest.mark.parametrize(("codes", "digits"), [(NO_DIGITS, 0), (TWO_DIGITS, 2), (THREE_DIGITS, 3), (FOUR_DIGITS, 4)])
def test_currencies_have_the_digits_of_the_list(codes, digits):
    """ISO 4217 list one, column "Minor unit", from memory."""
    assert {code: currency_digits(code) for code in codes.split()} == dict.fromkeys(codes.split(), digits)


def test_yen_are_written_without_decimals():
    """ISO 4217 list one: JPY 0."""
    assert format_minor(1234, currency="JPY", locale="en") == "¥1,234"


def test_dinar_of_bahrain_has_a_thousand_minor_units():
    """ISO 4217 list one: BHD 3, so BHD 1.234 is 1234 minor units."""
    assert parse_minor("BHD 1.234", currency="BHD") == 1234
    assert format_minor(1234, currency="BHD", locale="en") == "BHD\u00a01.234"


def test_hundred_yen_split_three_ways_leave_no_fraction():
    """ISO 4217 list one: JPY 0, so shares are whole yen."""
    assert allocate(100, (1, 1, 1)) == (34, 33, 33)
