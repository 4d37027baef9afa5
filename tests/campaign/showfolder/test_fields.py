from datetime import UTC, datetime, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.measures.errors import MeasureError
from campaign.measures.lengths import format_size
from campaign.showfolder import fields
from campaign.showfolder.countries import countries, country
from campaign.showfolder.fields import Context, FieldRefused, sentence_of
from campaign.showfolder.moments import moment
from campaign.showfolder.settings_columns import slug_of, time_zone
from campaign.showfolder.tables import TABLES

CM = Context(length_unit="cm")
BERLIN = Context(time_zone="Europe/Berlin")


@pytest.mark.parametrize(
    ("cell", "sizes"),
    [
        ("60x40cm", ((600, 400, 100),)),
        ("60x40cm; 90x60cm = 130%", ((600, 400, 100), (900, 600, 130))),
        ("60x40cm: 80 %\n90 × 60 cm (130%)", ((600, 400, 80), (900, 600, 130))),
        ("29,7x42 cm, 40x60cm", ((297, 420, 100), (400, 600, 100))),
        ("60x40 | 90x60", ((600, 400, 100), (900, 600, 100))),
        ('24x36"', ((610, 914, 100),)),
        ("A3; A2 landscape = 120%", ((297, 420, 100), (594, 420, 120))),
        ("60x40cm;", ((600, 400, 100),)),
    ],
)
def test_sizes_in_one_cell(cell, sizes):
    assert fields.sizes(cell, CM) == sizes


@given(
    st.lists(
        st.tuples(st.integers(50, 3000), st.integers(50, 3000), st.integers(1, 1000)),
        min_size=1,
        max_size=5,
        unique_by=lambda size: size[:2],
    )
)
def test_sizes_written_out_are_read_back(sizes):
    cell = "; ".join(f"{format_size(width, height, unit='cm')} = {factor}%" for width, height, factor in sizes)
    assert fields.sizes(cell, Context()) == tuple(sizes)


@pytest.mark.parametrize(("cell", "parcel"), [("35 x 25 x 1 cm", (350, 250, 10)), ('14x10x1"', (356, 254, 25))])
def test_a_parcel_has_three_lengths_and_one_unit_may_do(cell, parcel):
    assert fields.parcel(cell, Context()) == parcel


@pytest.mark.parametrize(
    ("cell", "milli"), [("1", 1000), ("0,25", 250), ("50 pcs", 50_000), ("2.5m²", 2500), ("1/2", 500), ("9.15", 9150)]
)
def test_quantities_are_kept_as_thousandths(cell, milli):
    assert fields.milli(cell, Context()) == milli


@pytest.mark.parametrize(
    ("cell", "codes"),
    [
        ("DE", ("DE",)),
        ("AT;CH", ("AT", "CH")),
        ("UK, Ireland", ("GB", "IE")),
        ("eu", ("EU",)),
        ("rest of the world", ("*",)),
        ("Germany / france", ("DE", "FR")),
        ("Worldwide", ("*",)),
    ],
)
def test_countries_by_code_name_and_group(cell, codes):
    assert countries(cell, Context()) == codes


def test_a_country_that_is_none_is_refused():
    with pytest.raises(FieldRefused, match="“Atlantis” is no country"):
        country("Atlantis")


@pytest.mark.parametrize(
    ("cell", "utc"),
    [
        ("2026-05-15 18:00", (15, 16, 0)),
        ("15 May 2026, 6 pm", (15, 16, 0)),
        ("15.05.2026 18.30", (15, 16, 30)),
        ("15 May 2026 at 6:30pm", (15, 16, 30)),
        ("2026-05-15T18:00:00", (15, 16, 0)),
        ("2026-05-15 18:00+00:00", (15, 18, 0)),
        ("2026-05-15T18:00Z", (15, 18, 0)),
        ("15 May 2026 18 Uhr", (15, 16, 0)),
    ],
)
def test_moments_are_in_the_time_zone_of_the_show(cell, utc):
    assert moment(without_time=None)(cell, BERLIN) == datetime(2026, 5, *utc, tzinfo=UTC)


def test_a_day_alone_means_the_time_of_day_that_was_agreed():
    assert moment(without_time=time(23, 59))("15 May 2026", BERLIN) == datetime(2026, 5, 15, 21, 59, tzinfo=UTC)


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("15 May 2026", "the day and the time"),
        ("2026-05-15 25:00", "no such time of day"),
        ("2026-05-15 13:00 pm", "from 1 to 12"),
        ("2026-03-29 02:30", "clocks skip this hour on that day; write 03:30"),
        ("0026-05-15 18:00", "cannot be meant|a date such as"),
    ],
)
def test_a_moment_that_cannot_be_is_refused(cell, words):
    with pytest.raises((FieldRefused, MeasureError), match=words):
        moment(without_time=None)(cell, BERLIN)


def test_a_time_zone_is_found_in_any_case_and_a_near_one_named():
    assert time_zone("Europe/Berlin", Context()) == "Europe/Berlin"
    assert time_zone("europe/london", Context()) == "Europe/London"
    with pytest.raises(FieldRefused, match="such as America/New_York"):
        time_zone("America/New York City", Context())


def test_a_title_becomes_an_address():
    assert slug_of("Low Water — Österby, 2026!") == "low-water-osterby-2026"


def test_a_wrong_unit_in_the_heading_of_a_length_is_named():
    with pytest.raises(FieldRefused, match="The heading says kg"):
        fields.length()("5", Context(unit="kg"))


def test_a_foreign_currency_in_the_heading_is_refused():
    with pytest.raises(MeasureError, match="does not stand for EUR"):
        fields.money()("5", Context(unit="USD", currency="EUR"))


READERS = [(f"{table.name}, {column.name}", column.read) for table in TABLES for column in table.columns]


@given(st.sampled_from(READERS), st.text(min_size=1, max_size=40) | st.from_regex(r"[\d.,x\"' -]{1,16}[a-z%€$]{0,3}"),
       st.sampled_from(["", "cm", "in", "kg", "%", "EUR"]), st.sampled_from(["", "cm"]))  # fmt: skip
def test_whatever_stands_in_a_cell_is_read_or_refused_with_a_sentence(reader, cell, unit, length_unit):
    try:
        reader[1](cell, Context(unit=unit, length_unit=length_unit))
    except (FieldRefused, MeasureError) as fault:
        assert sentence_of(fault)[-1] in ".?"


@given(
    st.text(min_size=1, max_size=40) | st.from_regex(r"\d{1,4}[-./ ]\d{1,2}[-./ ]\d{1,4}[T ]\d{1,2}[:.h]\d{2}.{0,6}")
)
def test_whatever_stands_for_a_moment_is_read_or_refused(cell):
    try:
        moment(without_time=time(0, 0))(cell, BERLIN)
    except (FieldRefused, MeasureError) as fault:
        assert sentence_of(fault)[-1] in ".?"
