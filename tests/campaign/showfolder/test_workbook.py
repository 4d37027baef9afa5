import io
import zipfile
from datetime import date, datetime, time

import openpyxl
import pytest

from campaign.showfolder.sheets import FileRefused
from campaign.showfolder.workbook import read_workbook
from tests.campaign.showfolder.folders import workbook


def _only_row(values, formats=None):
    (sheet,) = read_workbook(workbook({"walls": [values]}, formats), label="show.xlsx")
    return sheet.lines[0].cells


def test_sheets_are_labelled_by_file_and_name():
    sheets = read_workbook(workbook({"walls": [["a"]], "works": [["b"]]}), label="show.xlsx")
    assert [sheet.label for sheet in sheets] == ["show.xlsx › walls", "show.xlsx › works"]
    assert not sheets[0].is_text


@pytest.mark.parametrize(
    ("value", "number_format", "text"),
    [
        (60, "General", "60"),
        (60.5, "General", "60.5"),
        (0.1 + 0.2, "General", "0.3"),
        (1.234, "General", "1.2340"),
        (1234, "#,##0", "1234"),
        (0.15, "0%", "15 %"),
        (0.029, "0.0%", "2.9 %"),
        (12, '#,##0.00 "€"', "12 €"),
        (12, "[$€-407] #,##0.00", "12 €"),
        (12, "€#,##0.00", "12 €"),
        (12, "[$-409]#,##0.00", "12"),
        (60, '0" cm"', "60 cm"),
        (60, "[Red]0", "60"),
        (True, "General", "yes"),
        (date(2026, 5, 15), "yyyy-mm-dd", "2026-05-15"),
        (datetime(2026, 5, 15, 18, 30), "yyyy-mm-dd hh:mm", "2026-05-15 18:30"),  # noqa: DTZ001
        (time(18, 30), "hh:mm", "18:30"),
        ("  text  ", "General", "text"),
    ],
)
def test_a_typed_cell_becomes_the_text_a_person_would_read(value, number_format, text):
    assert _only_row([value], {"A1": number_format}) == (text,)


def test_a_formula_without_a_stored_result_shows_itself():
    assert _only_row(["=1+1", "x"]) == ("=1+1", "x")


def test_a_formula_with_a_stored_result_gives_the_result():
    data = workbook({"walls": [["=1+1"]]})
    source, target = zipfile.ZipFile(io.BytesIO(data)), io.BytesIO()
    with zipfile.ZipFile(target, "w") as copy:
        for entry in source.infolist():
            body = source.read(entry)
            if entry.filename.endswith("sheet1.xml"):
                body = (
                    body.replace(b"<v></v>", b"<v>2</v>").replace(b"<v />", b"<v>2</v>").replace(b"<v/>", b"<v>2</v>")
                )
            copy.writestr(entry, body)
    (sheet,) = read_workbook(target.getvalue(), label="show.xlsx")
    assert sheet.lines[0].cells == ("2",)


def test_hidden_sheets_are_left_out_and_empty_rows_keep_their_numbers():
    book = openpyxl.Workbook()
    book.active.title = "walls"
    book.active["B3"] = "here"
    book.create_sheet("works").sheet_state = "hidden"
    target = io.BytesIO()
    book.save(target)
    (sheet,) = read_workbook(target.getvalue(), label="show.xlsx")
    assert [(line.number, line.cells) for line in sheet.lines] == [(1, ()), (2, ()), (3, ("", "here"))]


def test_merged_cells_leave_the_others_empty():
    book = openpyxl.Workbook()
    book.active.append(["title over all", None, None])
    book.active.merge_cells("A1:C1")
    book.active.append(["a", "b", "c"])
    target = io.BytesIO()
    book.save(target)
    (sheet,) = read_workbook(target.getvalue(), label="show.xlsx")
    assert [line.cells for line in sheet.lines] == [("title over all",), ("a", "b", "c")]


def _repacked(changes):
    source, target = zipfile.ZipFile(io.BytesIO(workbook({"walls": [["a"]]}))), io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as copy:
        for entry in source.infolist():
            copy.writestr(entry.filename, changes.get(entry.filename, source.read(entry)))
        for name, body in changes.items():
            if name not in source.namelist():
                copy.writestr(name, body)
    return target.getvalue()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "no workbook"),
        (workbook({"walls": [["a"]]})[:900], "no workbook"),
        (_repacked({"xl/workbook.xml": b"<broken"}), "damaged"),
        (_repacked({"xl/worksheets/sheet1.xml": b"<worksheet><sheetData><row r='x'>"}), "damaged"),
        (_repacked({"xl/blob.bin": bytes(100_000_001)}), "far too large inside"),
        (
            _repacked(
                {
                    "xl/worksheets/sheet1.xml": (
                        b'<!DOCTYPE x [<!ENTITY a "aaaa">]><worksheet xmlns="http://schemas.openxmlformats.org/'
                        b'spreadsheetml/2006/main"><sheetData><row r="1"><c r="A1" t="str"><v>&a;</v></c></row>'
                        b"</sheetData></worksheet>"
                    )
                }
            ),
            "damaged",
        ),
        (workbook({f"s{n}": [["a"]] for n in range(51)}), "more than 50 sheets"),
    ],
)
def test_a_workbook_that_cannot_be_trusted_is_refused_with_a_sentence(data, words):
    with pytest.raises(FileRefused, match=words):
        read_workbook(data, label="show.xlsx")
