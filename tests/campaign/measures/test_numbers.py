from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.measures.errors import MeasureError
from campaign.measures.numbers import (
    parse_count,
    parse_decimal,
    parse_flag,
    parse_percent_bp,
    readings,
    tidy,
)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1.234,50", "1234.5"),
        ("1,234.50", "1234.5"),
        ("1'234.5", "1234.5"),
        ("1’234,5", "1234.5"),
        ("1 234,5", "1234.5"),
        ("1\u00a0234,5", "1234.5"),
        ("1\u202f234,5", "1234.5"),
        ("1.234.567", "1234567"),
        ("12,34,567", "1234567"),
        ("12,34,567.8", "1234567.8"),
        ("0,125", "0.125"),
        ("1234,567", "1234.567"),
        (".5", "0.5"),
        ("5.", "5"),
        ("-3", "-3"),
        ("−3,5", "-3.5"),
        ("+3", "3"),
        ("0012", "12"),
        ("１２", "12"),
        ("٣٫٥", "3.5"),
        ("١٬٢٣٤٫٥", "1234.5"),
        ("\u200e12\u200f", "12"),
    ],
)
def test_number_is_read_exactly(text, value):
    assert parse_decimal(text) == Fraction(value)


@pytest.mark.parametrize(("text", "value"), [("16 1/2", "33/2"), ("16½", "33/2"), ("⅜", "3/8"), ("1/8", "1/8")])
def test_fraction_is_read_exactly(text, value):
    assert parse_decimal(text) == Fraction(value)


@pytest.mark.parametrize(
    "text",
    ["", "abc", "1e5", "1 2", "12,3456,7", "1.2.3", "1,23,45", "0,123,456", "1/0", "5²", "--5", ".", "1 .5", "9" * 81],
)
def test_what_is_no_number_is_refused(text):
    with pytest.raises(MeasureError):
        parse_decimal(text)


@pytest.mark.parametrize("text", ["1,234", "1.234", "-12.345"])
def test_one_mark_before_three_digits_is_in_doubt_and_refused(text):
    with pytest.raises(MeasureError, match="which could mean"):
        parse_decimal(text)


def test_refusal_of_doubt_names_both_readings_and_both_ways_out():
    with pytest.raises(MeasureError) as refusal:
        parse_decimal("-1,250")
    assert str(refusal.value) == (
        "Found “-1,250”, which could mean -1.250 or -1250; write -1250 or -1.2500, whichever is meant."
    )
    assert parse_decimal("-1250") == -1250
    assert parse_decimal("-1.2500") == Fraction("-1.25")


def test_half_sign_does_not_join_the_digits_before_it():
    assert tidy(" 16½\u00a0in ") == "16 1/2 in"


@given(st.fractions(min_value=-(10**6), max_value=10**6, max_denominator=1))
def test_plain_whole_number_reads_back(value):
    assert readings(str(value)) == (value,)


@given(st.integers(0, 10**9), st.integers(1, 6), st.sampled_from(".,"))
def test_decimal_reading_is_always_among_the_readings(digits, places, mark):
    text = f"{digits:0{places + 1}d}"
    text = f"{text[:-places]}{mark}{text[-places:]}"
    assert Fraction(digits, 10**places) in readings(text)


@given(st.integers(1000, 10**12), st.sampled_from([",", ".", " ", "'"]))
def test_grouped_thousands_are_among_the_readings(value, mark):
    assert readings(f"{value:,}".replace(",", mark))[-1] == value


@given(st.text(max_size=100))
def test_any_text_gives_a_number_or_a_refusal(text):
    for parse in (parse_decimal, parse_count, parse_percent_bp, parse_flag):
        try:
            parse(text)
        except MeasureError as refusal:
            assert str(refusal).endswith(".")


@pytest.mark.parametrize(
    ("text", "count"), [("12", 12), ("1,234", 1234), ("1.000", 1000), ("0", 0), ("3.0", 3), ("6/2", 3)]
)
def test_count_is_a_whole_number(text, count):
    assert parse_count(text) == count


@pytest.mark.parametrize("text", ["", "-1", "2.5", "1000000000", "a dozen"])
def test_count_refuses_what_cannot_be_counted(text):
    with pytest.raises(MeasureError, match="a whole number such as 12"):
        parse_count(text)


@pytest.mark.parametrize(
    ("text", "bp"),
    [
        ("40 %", 4000),
        ("40", 4000),
        ("2,9%", 290),
        ("0.25 percent", 25),
        ("1.5 per cent", 150),
        ("100", 10000),
        ("0", 0),
        ("12½ %", 1250),
    ],
)
def test_percentage_becomes_basis_points(text, bp):
    assert parse_percent_bp(text) == bp


@pytest.mark.parametrize("text", ["", "%", "101 %", "-1", "0.125 %", "1.234", "forty"])
def test_percentage_refuses_other_things(text):
    with pytest.raises(MeasureError, match="a percentage from 0 to 100"):
        parse_percent_bp(text)


@pytest.mark.parametrize("text", ["yes", "Y", "TRUE", "1", "x", "ja", "Oui", "✓", " on "])
def test_yes_in_many_words(text):
    assert parse_flag(text) is True


@pytest.mark.parametrize("text", ["no", "N", "false", "0", "", "-", "–", "nein", "  "])
def test_no_in_many_words(text):
    assert parse_flag(text) is False


def test_maybe_is_refused():
    with pytest.raises(MeasureError, match="yes or no"):
        parse_flag("maybe")
