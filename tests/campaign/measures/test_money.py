from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.measures.errors import MeasureError
from campaign.measures.money import (
    Money,
    allocate,
    currency_digits,
    format_minor,
    gross_up,
    parse_minor,
    portion,
    portion_bp,
)
from campaign.measures.signs import sign_fits

LOCALES = (
    *("en", "en_GB", "en_CA", "en_IN", "de", "de_AT", "de_CH", "fr", "fr_CH", "fr_CA", "es", "es_MX", "it", "nl"),
    *("pt", "pt_BR", "sv", "nb", "da", "fi", "pl", "cs", "hu", "ro", "bg", "el", "tr", "ru", "ja", "ar"),
)
CURRENCIES = ("EUR", "USD", "GBP", "CHF", "JPY", "SEK", "PLN", "KWD")


def test_thirty_locales_and_eight_currencies_are_tried():
    assert (len(set(LOCALES)), len(set(CURRENCIES))) == (30, 8)


@pytest.mark.parametrize("locale", LOCALES)
def test_written_amount_reads_back_in_every_locale(locale):
    minors = (0, 1, 10, 999, 1000, 100_000, 123_450, 123_456_789, -1, -123_456, 10**15)
    for currency, minor in product(CURRENCIES, minors):
        written = format_minor(minor, currency=currency, locale=locale)
        assert parse_minor(written, currency=currency, allow_negative=True) == minor, written


@given(st.integers(-(10**15), 10**15), st.sampled_from(LOCALES), st.sampled_from(CURRENCIES))
def test_any_amount_reads_back(minor, locale, currency):
    written = format_minor(minor, currency=currency, locale=locale)
    assert parse_minor(written, currency=currency, allow_negative=True) == minor


@pytest.mark.parametrize(
    ("text", "minor"),
    [
        *(
            ("12", 1200),
            ("12,5", 1250),
            ("12.50", 1250),
            ("€ 12", 1200),
            ("12 EUR", 1200),
            ("eur12", 1200),
            ("12€", 1200),
        ),
        *(("12,-", 1200), ("12,–", 1200), ("12.—", 1200), ("12,-- €", 1200), ("€ 12,-", 1200), ("12,5 euros", 1250)),
        *(("1.234,50", 123450), ("1,234.50", 123450), ("1'234.50", 123450), ("1 234,50 €", 123450)),
        *(("1,234", 123400), ("1.234 €", 123400), ("1,23,456.50", 12345650), (".5", 50), ("€.50", 50), ("5.", 500)),
        *(("\u00a0€\u00a012\u00a0", 1200), ("0", 0), ("-0", 0)),
    ],
)
def test_typed_euros_are_read(text, minor):
    assert parse_minor(text, currency="EUR") == minor


@pytest.mark.parametrize(
    ("text", "currency", "minor"),
    [
        ("$1,234.50", "USD", 123450),
        ("US$ 5", "USD", 500),
        ("$CA 5", "CAD", 500),
        ("Fr. 12.50", "CHF", 1250),
        ("Fr.50", "CHF", 5000),
        ("CHF 12.-", "CHF", 1200),
        ("12 kr.", "DKK", 1200),
        ("¥1,234", "JPY", 1234),
        ("1.234", "KWD", 1234),
        ("1,234.567", "KWD", 1234567),
        ("1,2345", "CLF", 12345),
    ],
)
def test_other_currencies_are_read(text, currency, minor):
    assert parse_minor(text, currency=currency) == minor


@pytest.mark.parametrize(
    ("text", "currency", "sign"),
    [
        ("$ 12", "EUR", "$"),
        ("12 usd", "EUR", "usd"),
        ("£12", "EUR", "£"),
        ("CA$ 5", "USD", "CA$"),
        ("12 €", "CHF", "€"),
        ("lots of 5", "EUR", "lots of"),
        ("lots of -5", "EUR", "lots of"),
    ],
)
def test_wrong_sign_is_refused_by_name(text, currency, sign):
    with pytest.raises(MeasureError) as refusal:
        parse_minor(text, currency=currency)
    assert f"and “{sign}” does not stand for {currency}" in str(refusal.value)


@pytest.mark.parametrize(
    "text",
    ["", "€", "abc", "12.3456", "0.125", "1 2", "1e5", "12:50", "1.2.3", "12 € 5", "-5", "−5 €", "-€5", "--5", "- 5-"],
)
def test_what_is_no_price_is_refused(text):
    with pytest.raises(MeasureError, match=r"write an amount in EUR with at most 2 decimals, such as 12\.50"):
        parse_minor(text, currency="EUR")


def test_decimals_are_refused_where_the_currency_has_none():
    with pytest.raises(MeasureError, match="an amount in JPY without decimals, such as 12"):
        parse_minor("12.5", currency="JPY")


def test_negative_amount_is_read_only_where_allowed():
    assert parse_minor("-5,00 €", currency="EUR", allow_negative=True) == -500
    with pytest.raises(MeasureError, match="which is less than nothing"):
        parse_minor("-5,00 €", currency="EUR")


@pytest.mark.parametrize("text", ["--5", "-5-"])
def test_two_minus_signs_are_refused_even_where_one_is_allowed(text):
    with pytest.raises(MeasureError):
        parse_minor(text, currency="EUR", allow_negative=True)


def test_amount_beyond_all_measure_is_refused():
    assert parse_minor("10000000000000.00", currency="EUR") == 10**15
    with pytest.raises(MeasureError, match="which is too large"):
        parse_minor("10000000000000.01", currency="EUR")


@given(st.text(max_size=90))
def test_any_text_gives_an_amount_or_a_refusal(text):
    try:
        assert parse_minor(text, currency="EUR") >= 0
    except MeasureError as refusal:
        assert str(refusal).endswith(".")


@pytest.mark.parametrize(
    ("sign", "currency", "fits"),
    [
        *(("US$", "USD", True), ("$US", "USD", True), ("€", "EUR", True), ("kr.", "SEK", True), ("R$", "BRL", True)),
        *(("US$", "CAD", False), ("€", "USD", False), ("$", "EUR", False), ("U$", "EUR", False), ("?", "EUR", False)),
    ],
)
def test_signs_belong_to_their_currencies(sign, currency, fits):
    assert sign_fits(sign, currency) is fits


@pytest.mark.parametrize("code", ["", "EURO", "eur", "ABC", "12"])
def test_unknown_currency_is_refused(code):
    with pytest.raises(MeasureError, match="a three-letter currency code such as EUR"):
        currency_digits(code)


def test_locale_may_be_written_with_a_hyphen():
    assert format_minor(123450, currency="EUR", locale="pt-br") == "€\u00a01.234,50"


def test_currency_in_letters_stands_off_its_number():
    assert format_minor(1250, currency="CHF", locale="en") == "CHF\u00a012.50"
    assert format_minor(1250, currency="EUR", locale="en") == "€12.50"
    assert format_minor(1250, currency="EUR", locale="de") == "12,50\u00a0€"


def test_money_of_one_currency_adds_up():
    assert Money(500, "EUR") + Money(250, "EUR") == Money(750, "EUR")
    assert Money(500, "EUR") - Money(750, "EUR") == Money(-250, "EUR")


def test_money_of_two_currencies_is_never_added():
    with pytest.raises(ValueError, match="EUR and USD"):
        Money(500, "EUR") + Money(500, "USD")
    with pytest.raises(ValueError, match="EUR and USD"):
        Money(500, "EUR") - Money(500, "USD")


def test_money_needs_a_currency():
    with pytest.raises(MeasureError):
        Money(500, "euro")


weights = st.lists(st.integers(0, 10**6), min_size=1, max_size=30).filter(any)


@given(st.integers(-(10**12), 10**12), weights)
def test_shares_add_up_and_stay_within_one_of_their_quota(total, weights):
    shares = allocate(total, weights)
    assert sum(shares) == total
    for share, weight in zip(shares, weights, strict=True):
        assert abs(share - Fraction(total * weight, sum(weights))) < 1


@given(st.integers(0, 10**9), weights)
def test_shares_are_those_of_exact_largest_remainders(total, weights):
    quotas = [Fraction(total * weight, sum(weights)) for weight in weights]
    floors = [quota.numerator // quota.denominator for quota in quotas]
    by_remainder = sorted(range(len(weights)), key=lambda i: (floors[i] - quotas[i], i))
    extra = set(by_remainder[: total - sum(floors)])
    assert list(allocate(total, weights)) == [floor + (i in extra) for i, floor in enumerate(floors)]


@given(st.integers(0, 10**9), weights)
def test_negative_total_mirrors_the_positive_one(total, weights):
    assert allocate(-total, weights) == tuple(-share for share in allocate(total, weights))


@pytest.mark.parametrize("weights", [(), (0, 0), (1, -1), (2, -1)])
def test_weights_without_sense_are_refused(weights):
    with pytest.raises(ValueError, match="weights must be"):
        allocate(100, weights)


@given(st.integers(-(10**12), 10**12), st.integers(-(10**6), 10**6), st.integers(1, 10**6))
def test_portion_is_the_exact_fraction_rounded_half_even(amount, numerator, denominator):
    assert portion(amount, numerator=numerator, denominator=denominator) == round(
        Fraction(amount * numerator, denominator)
    )


def test_portion_of_nothing_is_refused():
    with pytest.raises(ValueError, match="denominator"):
        portion(1, numerator=1, denominator=0)


@given(st.integers(0, 10**9), st.integers(0, 9999), st.integers(0, 1000))
def test_grossed_up_charge_leaves_the_net_and_is_the_least_by_exact_fee(net, fee_bp, fixed):
    gross = gross_up(net, fee_bp=fee_bp, fee_fixed_minor=fixed)
    assert gross - portion_bp(gross, bp=fee_bp) - fixed >= net
    assert (gross - 1) * Fraction(10_000 - fee_bp, 10_000) - fixed < net


@pytest.mark.parametrize("fee_bp", [-1, 10_000])
def test_fee_of_everything_is_refused(fee_bp):
    with pytest.raises(ValueError, match="fee_bp"):
        gross_up(100, fee_bp=fee_bp, fee_fixed_minor=0)
