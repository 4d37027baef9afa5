"""Exports of real rows: read back without loss, compared with the book line by line."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from campaign.models import Pledge
from campaign.queries.exports import read_export
from campaign.services.exports import compare_cash_book, write_export
from campaign.services.payments import correct_entry, record_other_money
from campaign.services.pledges import cancel_pledge
from campaign.sheets import UnreadableSheet, read_back
from tests.builders import NOW, pay, place

WHAT = ("cash-book", "pledges", "to-send")
NASTY = ('=HYPERLINK("http://192.0.2.1")', "'=1", "\u202eevil", "a\r\nb", "_x000D_", "🖼️ Łódź", "+49 30 1")


@pytest.fixture
def busy(show):
    """Every kind of row, with names that spreadsheets trip over."""
    for number, name in enumerate(NASTY):
        pledge = place(show, name=name, message=name, copies=0)
        pay(pledge, key=f"p{number}")
    cancel_pledge(pledge=pledge, by_backer=False, now=NOW)
    cost = record_other_money(
        show=show, key="van", kind="cost", amount_minor=2_000, happened_on=NOW.date(), text="=van", now=NOW
    )
    correct_entry(entry=cost, reason="-lent", now=NOW)
    return show


@pytest.mark.parametrize("what", WHAT)
@pytest.mark.parametrize("file_format", ["csv", "xlsx"])
def test_an_export_holds_every_value(busy, what, file_format):
    export = read_export(busy, what=what)
    file = write_export(show=busy, what=what, file_format=file_format)
    assert read_back(file.data, table=export.table) == [tuple(row) for row in export.rows]
    assert file.rows == len(export.rows) > 0
    assert file.name == f"{export.name}.{file_format}"


def test_the_sums_of_an_export_are_those_of_the_book(busy):
    rows = read_export(busy, what="pledges").rows
    headings = [column.heading for column in read_export(busy, what="pledges").table.columns]
    sums = [row[headings.index("Sum")] for row in rows]
    assert sum(sums) == sum(pledge.total_minor for pledge in Pledge.objects.all())
    assert {row[3] for row in rows} == set(NASTY)


@pytest.mark.parametrize("file_format", ["csv", "xlsx"])
def test_an_export_compared_at_once_does_not_differ(busy, file_format):
    found = compare_cash_book(show=busy, data=write_export(show=busy, what="cash-book", file_format=file_format).data)
    assert found.is_same
    assert found.in_file == found.in_book == len(NASTY) + 2


def test_every_kind_of_difference_is_told(busy):
    data = write_export(show=busy, what="cash-book", file_format="csv").data.decode("utf-8-sig")
    lines = data.splitlines(keepends=True)
    changed = "".join([lines[0], lines[1].replace("10.00", "10.01"), *lines[3:], lines[4]])
    pay(place(busy), key="later")
    found = compare_cash_book(show=busy, data=changed.encode())
    assert not found.is_same
    said = "\n".join(found.differences)
    assert "payment:p0 differs in “Amount”: the book says 1000, the file 1001" in said
    assert "payment:p1 (Payment for order" in said
    assert "is in the book and not in the file" in said
    assert "payment:later" in said
    assert "2 times" in said


def test_a_line_the_book_never_had_is_told(busy):
    data = write_export(show=busy, what="cash-book", file_format="csv").data.decode()
    found = compare_cash_book(show=busy, data=data.replace('"other:van"', '"other:bus"').encode())
    assert any("other:bus is in the file and not in the book" in one for one in found.differences)


def test_many_differences_are_cut_short(show):
    for number in range(60):
        pay(place(show, copies=0), key=f"p{number}", amount_minor=1)
    empty = write_export(show=show, what="cash-book", file_format="csv").data.splitlines(keepends=True)[0]
    found = compare_cash_book(show=show, data=empty)
    assert len(found.differences) == 51
    assert found.differences[-1] == "And 10 more differences."


def test_another_table_is_no_cash_book(busy):
    with pytest.raises(UnreadableSheet):
        compare_cash_book(show=busy, data=write_export(show=busy, what="pledges", file_format="xlsx").data)


def sheets(*arguments):
    out = StringIO()
    call_command("sheets", *map(str, arguments), stdout=out)
    return out.getvalue()


def test_the_command_writes_and_compares(busy, tmp_path):
    said = sheets("tideline", "--to", tmp_path)
    assert said.count("read back without a difference") == 6
    for ending in ("csv", "xlsx"):
        assert "nothing differs" in sheets("tideline", "--compare", tmp_path / f"tideline-cash-book.{ending}")
    pay(place(busy))
    with pytest.raises(CommandError, match="differs"):
        sheets("tideline", "--compare", tmp_path / "tideline-cash-book.csv")


def test_the_command_says_what_is_wrong(busy, tmp_path):
    with pytest.raises(CommandError, match="no show"):
        sheets("nowhere", "--to", tmp_path)
    with pytest.raises(CommandError, match="No such file"):
        sheets("tideline", "--compare", tmp_path / "none.csv")
