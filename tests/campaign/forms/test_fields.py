"""Fields of the studio: what is typed is read, what is stored is written, and both agree."""

from datetime import UTC, date, datetime
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError

from campaign.forms import fields
from campaign.measures.limits import MOST_FIXED_MINOR

SHOW = SimpleNamespace(currency="EUR", locale="de_DE", length_unit="cm", zone=ZoneInfo("Europe/Berlin"))


def of(field):
    field.show = SHOW
    return field


CASES = [
    (fields.MoneyField(), "€ 1.234,50", 123_450),
    (fields.LengthField(), "60", 600),
    (fields.LengthField(allow_zero=True), "0", 0),
    (fields.SizeField(), '24x36"', (610, 914)),
    (fields.WeightField(), "1.2 kg", 1200),
    (fields.PercentField(), "2,9 %", 290),
    (fields.CountField(), "12", 12),
    (fields.QuantityField(), "1.5", 1500),
    (fields.MinutesField(), "1:30", 5400),
    (fields.MinutesField(), "55:33:20", 200_000),
    (fields.MinutesField(), "90", 5400),
    (fields.MinutesField(), "1.5 h", 5400),
    (fields.MinutesField(), "20 min", 1200),
    (fields.DayField(), "15 May 2026", date(2026, 5, 15)),
    (fields.MomentField(), "2026-05-15T18:00", datetime(2026, 5, 15, 16, 0, tzinfo=UTC)),
]


@pytest.mark.parametrize(("field", "text", "value"), CASES)
def test_what_is_typed_is_read_and_written_back_to_the_same_value(field, text, value):
    field = of(field)
    assert field.clean(text) == value
    assert field.clean(field.prepare_value(value)) == value
    assert field.prepare_value(text) == text


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        (fields.MoneyField(at_least=1), "0", "more than nothing"),
        (fields.MoneyField(at_most=MOST_FIXED_MINOR), "10000000,01", "at most 10000000,00"),
        (fields.MoneyField(), "12 USD", "does not stand for EUR"),
        (fields.LengthField(), "0", "write a length"),
        (fields.PercentField(most_bp=9_999), "100", "at most 99.99 %"),
        (fields.CountField(least=1, most=5), "6", "from 1 to 5"),
        (fields.QuantityField(least_milli=1), "0", "more than 0"),
        (fields.QuantityField(), "1.23456", "three decimals"),
        (fields.MinutesField(), "1:75", "such as 90 min"),
        (fields.MinutesField(), "-5", "such as 90 min"),
        (fields.MinutesField(), "10000:01", "such as 90 min"),
        (fields.MinutesField(), "9" * 5_000 + ":00", "such as 90 min"),
        (fields.MomentField(), "0001-01-01T00:00", "year cannot be meant"),
        (fields.MomentField(), "9999-12-31T23:59", "year cannot be meant"),
        (fields.DayField(), "9999-12-31", "year cannot be meant"),
        (fields.DayField(), "0206-05-01", "year cannot be meant"),
        (fields.MomentField(), "tomorrow", "a day and a time"),
        (fields.MomentField(), "2026-03-29T02:30", "summer time"),
        (fields.DayField(), "05/06/2026", "month first"),
    ],
)
def test_what_cannot_be_read_gets_a_sentence(field, text, words):
    with pytest.raises(ValidationError) as refusal:
        of(field).clean(text)
    assert words in refusal.value.messages[0]


def test_an_empty_field_is_none_and_refused_only_where_it_is_needed():
    assert of(fields.MoneyField(required=False)).clean(" ") is None
    with pytest.raises(ValidationError):
        of(fields.MoneyField()).clean("")


def test_money_is_written_as_the_shows_own_country_does():
    assert of(fields.MoneyField()).prepare_value(123_450) == "1234,50"
