"""Every column of every table and every setting with values that no column of the database holds."""

import dataclasses

import pytest

from campaign.services.paste_prices import read_prices
from campaign.services.paste_works import read_works
from campaign.showfolder import cost_tables, read_show_folder, rule_tables, tables
from campaign.showfolder.entries import Entry, read_cells
from campaign.showfolder.fields import Context
from campaign.showfolder.headings import Table
from campaign.showfolder.settings_columns import COLUMNS
from tests.builders import make_draft
from tests.campaign.showfolder.folders import SETTINGS, write_folder
from tests.campaign.showfolder.test_costs_and_rules import FILES, MORE

LARGEST_WHOLE, LARGEST_MONEY = 2**31 - 1, 10**15  # an integer column of PostgreSQL; most money is in bigint columns
NARROW = {"payment fee fixed", "wall prices rounded to"}  # money in an integer column
ROOMS = (tables, cost_tables, rule_tables)
TABLES = {one.name: one for room in ROOMS for one in vars(room).values() if isinstance(one, Table)}
EVERY = [(table.name, column) for table in TABLES.values() for column in table.columns]
EVERY += [("settings", column) for column in COLUMNS.values()]
NAMES = [f"{place} {column.name}" for place, column in EVERY]
TOO_LARGE = [str(2**31), str(10**30), f"{2**31 - 1}.5", "2000000", "36000000 kg", "36000000 h", "1e400"]
CONTROL = ["a\0b", "1\x0b2", "studio\0@example.org", "2026-05-15\x01", "\x1b"]
LONG = ["x" * 19_999, "1" * 19_999, "1" + " " * 19_000 + "x", "(" * 19_999, "1," * 9_999]


def flat(value):
    """Everything in a value, however it is nested."""
    if dataclasses.is_dataclass(value):
        value = tuple(getattr(value, field.name) for field in dataclasses.fields(value))
    if isinstance(value, tuple):
        for part in value:
            yield from flat(part)
    else:
        yield value


def read_as(column, cell):
    """What the column makes of a cell, or the refusals."""
    context = Context(length_unit="cm", currency="EUR", time_zone="Europe/Berlin")
    found = read_cells(Entry("x.csv", 2, {}, {column.name: cell}, {}), [column], context=lambda _: context)
    return found.values[column.name] if isinstance(found, Entry) else found


def is_refused(found):
    return isinstance(found, list) and all(verdict.sentence for verdict in found)


def test_the_columns_are_all_here():
    assert set(TABLES) == {table.name for table in tables.TABLES}
    assert len(EVERY) == sum(len(table.columns) for table in tables.TABLES) + len(COLUMNS)


@pytest.mark.parametrize(("place", "column"), EVERY, ids=NAMES)
def test_no_cell_is_read_as_a_number_that_cannot_be_kept(place, column):
    most = LARGEST_MONEY if column.read.__qualname__.startswith("money.") else LARGEST_WHOLE
    most = LARGEST_WHOLE if column.name in NARROW else most
    for cell in TOO_LARGE:
        found = read_as(column, cell)
        assert is_refused(found) or all(not isinstance(one, int) or -most <= one <= most for one in flat(found))


@pytest.mark.parametrize(("place", "column"), EVERY, ids=NAMES)
def test_no_cell_with_a_control_character_is_read(place, column):
    assert all(is_refused(read_as(column, cell)) for cell in CONTROL)


@pytest.mark.parametrize(("place", "column"), EVERY, ids=NAMES)
@pytest.mark.timeout(20)  # a pattern that grows slow on long cells takes hours
def test_a_cell_of_twenty_thousand_letters_is_refused_or_cut_at_once(place, column):
    for cell in LONG:
        found = read_as(column, cell)
        assert is_refused(found) or all(not isinstance(one, str) or len(one) <= 300 for one in flat(found))


def read(path, *, settings=SETTINGS + MORE, **changes):
    files = {name.replace(".", "__"): text for name, text in FILES.items()}
    return read_show_folder(write_folder(path, settings=settings, **(files | changes)))


def test_hours_that_are_too_many_as_minutes_are_named(tmp_path):
    prices = FILES["prices.csv"] + "help,Help,hour,20,16667,,,0\naid,Aid,hour,20,1,,,16667\nfew,F,hour,20,16666,,,9\n"
    folder = read(tmp_path, prices__csv=prices)
    assert [(one.row, one.column, one.sentence) for one in folder.refusals] == [
        (7, "per", "Write at most 16,666 hours."), (8, "on the shelf", "Write at most 16,666 hours."),
    ]  # fmt: skip
    assert all(item.per_milli <= LARGEST_WHOLE for item in folder.price_book if item.code == "few")


def test_a_setting_with_a_hidden_character_is_refused(tmp_path):
    folder = read(tmp_path, settings=SETTINGS.replace("Small Show", "Small\\u0000Show"))
    assert [(one.column, "control character" in one.sentence) for one in folder.refusals] == [("title", True)]


@pytest.mark.parametrize("offset", ["+99:99", "-25:00", "+24:61"])
def test_an_offset_that_cannot_be_is_refused(offset):
    assert is_refused(read_as(COLUMNS["opening"], f"2026-05-15T18:00{offset}"))


@pytest.mark.parametrize("file", ["prices.csv", "works.csv"])
def test_ten_million_letters_are_refused(tmp_path, file):
    folder = read(tmp_path, **{file.replace(".", "__"): FILES[file] + "x" * 10_000_000})
    assert not folder.ok
    assert all(len(verdict.line) < 500 for verdict in folder.refusals)


PASTED = [
    (read_prices, cost_tables.PRICES, {"name": "Oil", "unit": "hour", "price": "3"}),
    (read_works, tables.WORKS, {"title": "Ebb", "sizes": "60x40 cm"}),
]  # fmt: skip


@pytest.mark.parametrize("cell", [*TOO_LARGE, "20000", *LONG[:3], "1\x0b2"])
@pytest.mark.parametrize(("read_pasted", "table", "row"), PASTED, ids=["prices", "works"])
@pytest.mark.timeout(60)
def test_pasted_cells_are_no_larger(db, read_pasted, table, row, cell):
    show = make_draft()
    for column in table.columns:
        cells = row | {column.name: cell}
        pasted = read_pasted(show=show, text="\t".join(cells) + "\n" + "\t".join(cells.values()))
        assert pasted.rows or pasted.refusals
        for one in pasted.rows:
            fields = one.fields.items()
            assert all(
                not isinstance(value, int) or value <= LARGEST_WHOLE or "minor" in name for name, value in fields
            )
            assert all(not isinstance(value, str) or len(value) <= 300 for _, value in fields)


@pytest.mark.timeout(20)
def test_a_pasted_row_of_blanks_is_read_at_once(db):
    for text in ("name" + " " * 19_000 + "x", "1" + " " * 19_000 + "x\n" * 20, "(" * 199_000):
        assert read_prices(show=make_draft(code=f"s{len(text)}"), text=text).refusals
