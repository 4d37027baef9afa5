import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.measures.errors import MeasureError
from campaign.measures.weights import format_pounds, format_weight, parse_weight_g


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        *(("850", 850), ("850 g", 850), ("850gr.", 850), ("1.2 kg", 1200), ("1,25 Kilo", 1250), ("2 kilograms", 2000)),
        *(("12 oz", 340), ("2 lb", 907), ("2lbs", 907), ("2 lb 4 oz", 1021), ("2 lb. 4½ oz.", 1035), ("1/2 lb", 227)),
        *(("1,250 kg", 1250), ("12.345 kg", 12345), ("1 000 kg", 1_000_000), ("2.5", 2), ("3.5", 4)),
    ],
)
def test_weight_is_read_as_typed(text, grams):
    assert parse_weight_g(text) == grams


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "Found nothing"),
        ("heavy", "write a weight such as 850 g, 1.2 kg or 2 lb 4 oz"),
        ("3 t", "write a weight"),
        ("2 lb x oz", "write a weight"),
        ("-1 g", "which is less than nothing"),
        ("0", "which is less than half a gram"),
        ("2000 kg", "which is more than a tonne"),
        ("1,250", "which could mean 1.250 or 1250"),
    ],
)
def test_refusal_says_why(text, why):
    with pytest.raises(MeasureError) as refusal:
        parse_weight_g(text)
    assert why in str(refusal.value)


def test_nothing_weighs_nothing_where_allowed():
    assert parse_weight_g("0 g", allow_zero=True) == 0


def test_weight_is_written_in_the_handier_unit():
    assert [format_weight(g) for g in (0, 850, 1000, 1250, 10_000, 1_000_000)] == [
        *("0 g", "850 g", "1 kg", "1.25 kg", "10 kg", "1000 kg"),
    ]


@given(st.integers(1, 1_000_000))
def test_written_weight_reads_back(grams):
    assert parse_weight_g(format_weight(grams)) == grams


@given(st.text(max_size=90))
def test_any_text_gives_a_weight_or_a_refusal(text):
    try:
        assert 1 <= parse_weight_g(text) <= 1_000_000
    except MeasureError as refusal:
        assert str(refusal).endswith(".")


def test_pounds_are_to_the_nearest_ounce():
    assert [format_pounds(g) for g in (0, 200, 1021, 2722, 450)] == ["0 oz", "7 oz", "2 lb 4 oz", "6 lb", "1 lb"]


@given(st.integers(200, 100_000))
def test_pounds_read_back_within_half_an_ounce(grams):
    assert abs(parse_weight_g(format_pounds(grams)) - grams) <= 15
