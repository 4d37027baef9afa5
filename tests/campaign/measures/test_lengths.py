import contextlib
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.measures.errors import MeasureError
from campaign.measures.lengths import format_length, format_sixteenths, format_size, parse_length_mm, parse_size_mm

UNITS = ("mm", "cm", "dm", "m", "in", "ft")
lengths_mm = st.integers(1, 20_000)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        *(("600", 600), ("600 mm", 600), ("60cm", 600), ("60,5 cm", 605), ("60.5 Centimetres", 605), ("6 dm", 600)),
        *(
            ("1.2 m", 1200),
            ("1,2 metres", 1200),
            ("24 in", 610),
            ('24"', 610),
            ("24”", 610),
            ("24″", 610),
            ("24''", 610),
        ),
        *(("24 inches", 610), ("24 in.", 610), ("24 Zoll", 610), ("6 ft", 1829), ("6'", 1829), ("6 feet", 1829)),
        *(("2' 6\"", 762), ("2’6”", 762), ("2′6″", 762), ("2´ 6", 762), ("2 ft 6 in", 762), ("2 ft. 6 in.", 762)),
        *(("2' 6½\"", 775), ('16 1/2"', 419), ("16½ in", 419), ("1/2 in", 13), (".5 in", 13), ("24\u00a0in", 610)),
        *(("1 234 mm", 1234), ("1'234", 1234), ("1'234 mm", 1234), ("２４ in", 610), ("+600", 600), ("20 m", 20_000)),
    ],
)
def test_length_is_read_as_typed(text, mm):
    assert parse_length_mm(text) == mm


@pytest.mark.parametrize(
    ("text", "unit", "mm"), [("24", "in", 610), ("60,5", "cm", 605), ("600 mm", "in", 600), ("6", "ft", 1829)]
)
def test_bare_number_takes_the_default_unit(text, unit, mm):
    assert parse_length_mm(text, default_unit=unit) == mm


@pytest.mark.parametrize(("text", "mm"), [("10.5", 10), ("11.5", 12), ("1.25 cm", 12), ("1.35 cm", 14)])
def test_half_millimetre_goes_to_the_even_one(text, mm):
    assert parse_length_mm(text) == mm


@pytest.mark.parametrize(("text", "mm"), [("1,234 m", 1234), ("1.200 m", 1200), ("12,345 cm", 123), ("1,500 in", 38)])
def test_doubtful_mark_is_read_where_one_reading_is_a_possible_length(text, mm):
    assert parse_length_mm(text) == mm


@pytest.mark.parametrize("text", ["1,234", "1.200 mm", "1.234 cm"])
def test_doubtful_mark_is_refused_where_both_readings_are_possible(text):
    with pytest.raises(MeasureError, match="which could mean"):
        parse_length_mm(text)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("-3 cm", "which is less than nothing"),
        ("-1,234", "which is less than nothing"),
        ("0", "which is less than half a millimetre"),
        ("0.2", "which is less than half a millimetre"),
        ("25 m", "which is more than 20 m"),
        ("99999999", "which is more than 20 m"),
        ("5²", "which has raised digits"),
        ("9" * 90, "which is too long"),
        ("", "Found nothing"),
        ("abc", "Found “abc”; write a length such as 600, 60 cm, 24 in or 2' 6\""),
        ("5 . 5", "write a length"),
        ("1e3", "write a length"),
        ("24 x 36", "write a length"),
        ("5 parsec", "write a length"),
        ("2' 14\"", "write a length"),
    ],
)
def test_refusal_says_why(text, why):
    with pytest.raises(MeasureError) as refusal:
        parse_length_mm(text)
    assert why in str(refusal.value)


def test_zero_is_a_length_only_where_allowed():
    assert parse_length_mm("0", allow_zero=True) == 0
    assert parse_length_mm("0 cm", allow_zero=True) == 0
    with pytest.raises(MeasureError, match="less than nothing"):
        parse_length_mm("-0.2", allow_zero=True)


@pytest.mark.parametrize(
    "call",
    [
        lambda: parse_length_mm("1", default_unit="px"),
        lambda: parse_size_mm("1x1", default_unit="px"),
        lambda: format_length(1, unit="px"),
    ],
)
def test_unknown_unit_is_a_programming_error(call):
    with pytest.raises(ValueError, match="'px' is not one of mm, cm, dm, m, in, ft"):
        call()


@pytest.mark.parametrize(
    ("text", "size"),
    [
        *(('24x36"', (610, 914)), ("24 x 36 in", (610, 914)), ('24" x 36"', (610, 914)), ("24in x 36", (610, 914))),
        *(("60×40 cm", (600, 400)), ("60cm x 400mm", (600, 400)), ("600 by 400", (600, 400)), ("600*400", (600, 400))),
        *(
            ("600 х 400", (600, 400)),
            ("16½ x 20½ in", (419, 521)),
            ("2' x 3' 6\"", (610, 1067)),
            ("60,5 X 40,5 cm", (605, 405)),
        ),
        *(("36 h x 24 w in", (610, 914)), ('36" (H) x 24" (W)', (610, 914)), ("24w x 36h in", (610, 914))),
        *(("h: 60 cm × w: 40 cm", (400, 600)), ("24 in wide by 36 in tall", (610, 914))),
        *(
            ("A3", (297, 420)),
            ("a2 landscape", (594, 420)),
            ("A2 (landscape)", (594, 420)),
            ("DIN A4 portrait", (210, 297)),
        ),
        *(
            ("B2", (500, 707)),
            ("c4", (229, 324)),
            ("A3+", (329, 483)),
            ("A3+ landscape", (483, 329)),
            ("ISO A10", (26, 37)),
        ),
    ],
)
def test_size_is_read_as_typed(text, size):
    assert parse_size_mm(text) == size


def test_two_bare_numbers_take_the_default_unit():
    assert parse_size_mm("24x36", default_unit="in") == (610, 914)
    assert parse_size_mm("24 x 36 cm", default_unit="in") == (240, 360)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("60 x 40 x 3", "which has more than two lengths"),
        ("24w x 36w", "where w and h do not stand once each"),
        ("24w x 36", "where w and h do not stand once each"),
        ("60x-40", "which is less than nothing"),
        ("0x3", "which is less than half a millimetre"),
        ("60x21000", "which is more than 20 m"),
        ("60", "Found “60”; write width and height such as 600 x 400, 60 x 40 cm, 24 x 36 in or A3"),
        ("1,234 x 500", "which could mean"),
        ("A11", "write width and height"),
        ("A4+", "write width and height"),
        ("x", "write width and height"),
        ("", "Found nothing"),
    ],
)
def test_refused_size_says_why(text, why):
    with pytest.raises(MeasureError) as refusal:
        parse_size_mm(text)
    assert why in str(refusal.value)


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [
        (600, "mm", "600 mm"),
        (600, "cm", "60 cm"),
        (605, "cm", "60.5 cm"),
        (610, "in", "24 in"),
        (914, "in", "36 in"),
        (1200, "m", "1.2 m"),
        (0, "cm", "0 cm"),
    ],
)
def test_length_is_written_with_the_fewest_decimals(mm, unit, text):
    assert format_length(mm, unit=unit) == text


def test_size_is_written_width_first():
    assert format_size(610, 914, unit="in") == "24 × 36 in"
    assert format_size(600, 400) == "600 × 400 mm"


@given(lengths_mm, st.sampled_from(UNITS))
def test_written_length_reads_back(mm, unit):
    assert parse_length_mm(format_length(mm, unit=unit)) == mm


@given(lengths_mm, lengths_mm, st.sampled_from(["mm", "cm", "in"]))
def test_written_size_reads_back(width_mm, height_mm, unit):
    assert parse_size_mm(format_size(width_mm, height_mm, unit=unit)) == (width_mm, height_mm)


@given(st.integers(0, 60), st.integers(1, 191))
def test_feet_and_sixteenths_of_an_inch_are_exact(feet, sixteenths):
    text = f"{feet}' {sixteenths // 16} {sixteenths % 16}/16\""
    assert parse_length_mm(text) == round((feet * 12 + Fraction(sixteenths, 16)) * Fraction(254, 10))


@given(st.text(max_size=90))
def test_any_text_gives_a_length_or_a_refusal(text):
    for parse in (parse_length_mm, parse_size_mm):
        try:
            parse(text)
        except MeasureError as refusal:
            assert str(refusal).endswith(".")


@given(st.text(alphabet="0123456789.,'\" xXwhcminAB/+-½", max_size=20))
def test_likely_text_gives_whole_millimetres_within_bounds_or_a_refusal(text):
    with contextlib.suppress(MeasureError):
        assert all(1 <= side <= 20_000 for side in parse_size_mm(text))
    with contextlib.suppress(MeasureError):
        assert 1 <= parse_length_mm(text) <= 20_000


def test_inches_as_a_tape_shows_them():
    assert [format_sixteenths(mm) for mm in (0, 3, 610, 1237, 25)] == ["0", "1/8", "24", "48 11/16", "1"]


@given(st.integers(1, 20_000))
def test_sixteenths_read_back_within_a_millimetre(mm):
    text = format_sixteenths(mm)
    assert text == "0" or abs(parse_length_mm(f"{text} in") - mm) <= 1
