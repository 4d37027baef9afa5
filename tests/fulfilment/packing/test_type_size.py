from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

import campaign
from fulfilment.packing import choose_type_size
from fulfilment.packing.type_size import LINE_HEIGHT, POINT_MM, SIZES_PT, _rows, _width

FONT = Path(campaign.__file__).parent / "static/campaign/fonts/noto-sans-400.ttf"
SHORT = ["Erika Beispiel", "Platz der Republik 1", "11011 BERLIN"]


def test_a_short_address_is_set_large():
    assert choose_type_size(SHORT, width_mm=89, height_mm=62) == SIZES_PT[0]


def test_more_and_longer_lines_are_set_smaller():
    long = ["Bartholomew Featherstonehaugh of the Long-Winded Society"] * 7
    assert choose_type_size(long, width_mm=89, height_mm=62) < choose_type_size(SHORT, width_mm=89, height_mm=62)


def test_what_fits_at_no_size_gets_the_smallest():
    assert choose_type_size(["W" * 500] * 9, width_mm=40, height_mm=20) == SIZES_PT[-1]


def test_other_sizes_can_be_asked_for():
    assert choose_type_size(SHORT, width_mm=89, height_mm=62, sizes_pt=(9, 8)) == 9


def test_no_letter_of_the_font_is_wider_than_estimated():
    font = TTFont(FONT)
    per_em = font["head"].unitsPerEm
    widths = {chr(code): font["hmtx"][name][0] / per_em for code, name in font.getBestCmap().items()}
    latin = {letter: width for letter, width in widths.items() if ord(letter) < 0x180}
    assert len(latin) > 300
    assert [letter for letter, width in latin.items() if width > _width(letter) + 0.001] == []


@given(
    st.lists(st.text(st.characters(max_codepoint=0x17F, categories=["L", "Nd", "Zs"]), max_size=80), max_size=9),
    st.integers(30, 100),
)
def test_whatever_is_chosen_stays_within_its_place_unless_nothing_does(lines, height_mm):
    size_pt = choose_type_size(lines, width_mm=89, height_mm=height_mm)
    em_mm = size_pt * POINT_MM
    rows = sum(_rows(line, em_mm=em_mm, width_mm=89) for line in lines)
    assert rows * em_mm * LINE_HEIGHT <= height_mm or size_pt == SIZES_PT[-1]


@pytest.mark.parametrize(("line", "rows"), [("", 1), ("short", 1), ("a b " * 60, 6), ("W" * 100, 5)])
def test_rows_are_counted_between_and_within_words(line, rows):
    assert _rows(line, em_mm=4.0, width_mm=89) == rows
