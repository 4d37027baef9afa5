import pytest

from campaign.showfolder.headings import count_known
from campaign.showfolder.sheets import MAX_ROWS, FileRefused, read_csv
from campaign.showfolder.tables import COSTS, WALLS


def _read(data, table=COSTS):
    return read_csv(data, label="costs.csv", score=lambda lines: count_known(lines, table.columns))


def _cells(sheet):
    return [line.cells for line in sheet.lines]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le"])
@pytest.mark.parametrize("delimiter", [";", ",", "\t", "|"])
@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
def test_every_encoding_delimiter_and_line_end_gives_the_same_cells(encoding, delimiter, newline):
    rows = [["name", "amount", "note"], ["Käse", "€ 12", "für alle"]]
    text = newline.join(delimiter.join(row) for row in rows) + newline
    assert _cells(_read(text.encode(encoding))) == [tuple(row) for row in rows]


def test_a_decimal_comma_does_not_win_over_the_semicolon():
    assert _cells(_read(b"name;amount\nCards;64,50\nWine;1.234,50\n"))[1:] == [("Cards", "64,50"), ("Wine", "1.234,50")]


def test_a_named_delimiter_is_obeyed_and_its_line_not_counted():
    sheet = _read(b"sep=;\r\nname;amount\r\nCards;64\r\n")
    assert [(line.number, line.cells) for line in sheet.lines] == [(1, ("name", "amount")), (2, ("Cards", "64"))]


def test_inch_marks_and_loose_quotation_marks_stay():
    sheet = _read(b'code,name,width,height\nn,"North",196",9\'\ns,The "old" wall,"16\' 5""",9 ft\n', WALLS)
    assert _cells(sheet)[1:] == [("n", "North", '196"', "9'"), ("s", 'The "old" wall', "16' 5\"", "9 ft")]


def test_a_cell_of_two_lines_is_one_row():
    sheet = _read(b'name,amount,note\nCards,64,"two\r\nlines"\nWine,9,\n')
    assert [line.number for line in sheet.lines] == [1, 2, 3]
    assert sheet.lines[1].cells[2] == "two\nlines"


def test_the_apostrophe_that_guards_a_formula_is_taken_off():
    assert _cells(_read(b"name,amount,note\n'=1+1,5,'quoted'\n"))[1] == ("=1+1", "5", "'quoted'")


def test_empty_rows_at_the_end_are_dropped_and_in_between_kept():
    sheet = _read(b"name,amount\n,\nCards,64\n" + b",\n" * 9000)
    assert [line.cells for line in sheet.lines] == [("name", "amount"), (), ("Cards", "64")]


def test_a_table_may_have_5000_rows_and_not_one_more():
    head = b"name,amount\n"
    assert len(_read(head + b"x,1\n" * (MAX_ROWS - 1)).lines) == MAX_ROWS
    with pytest.raises(FileRefused, match="more than 5,000 rows"):
        _read(head + b"x,1\n" * MAX_ROWS)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"name,amount\n" + b"," * 101 + b"x\n", "more than 100 columns"),
        (b"name,amount\n" + b"x" * 20_001 + b",1\n", "more than 20,000 letters"),
        (b"name,amount\nCards,\x00\n", "no text"),
        (b"name,amount\nCards,\x81\x8d\n", "no encoding known here"),
    ],
)
def test_what_is_no_sensible_table_is_refused_with_a_sentence(data, words):
    with pytest.raises(FileRefused, match=words):
        _read(data)
