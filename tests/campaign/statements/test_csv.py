import pytest

from campaign.statements import (
    Layout,
    Meaning,
    StatementRefused,
    guess_layout,
    layout_faults,
    look_at_csv,
    read_csv,
)

GERMAN = (
    "Kontoauszug;Ada Example\n"
    ";\n"
    'Buchungstag;Valuta;Auftraggeber;IBAN;Verwendungszweck;Betrag;Währung\n'
    '10.03.2026;10.03.2026;"Müller; Anna";NL91ABNA0417164300;RF18 5390 0754 7034;"1.049,90";EUR\n'
    "11.03.2026;11.03.2026;Bank;;Gebühr;-3,50;EUR\n"
    ";;;;Saldo;1.046,40;EUR\n"
)  # fmt: skip


def read(text, **kwargs):
    sheet = look_at_csv(text if isinstance(text, bytes) else text.encode())
    return read_csv(sheet, layout=kwargs.pop("layout", None) or guess_layout(sheet), currency="EUR", **kwargs)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le", "utf-16-be"])
def test_german_export_is_read_in_every_encoding(encoding):
    statement = read(GERMAN.encode(encoding))
    first, second = statement.movements
    assert (first.amount_minor, first.party_name, first.party_iban) == (104_990, "Müller; Anna", "NL91ABNA0417164300")
    assert (first.text, first.place, first.booked_on.isoformat()) == ("RF18 5390 0754 7034", "line 4", "2026-03-10")
    assert second.amount_minor == -350
    assert statement.notes == ("1 row without a day or an amount was passed over.",)


@pytest.mark.parametrize("delimiter", [";", ",", "\t", "|"])
def test_every_delimiter_is_found(delimiter):
    rows = [["Date", "Name", "Amount"], ["2026-03-10", "Bo", "12.50"], ["2026-03-11", "Cy", "-2"]]
    statement = read("\n".join(delimiter.join(row) for row in rows))
    assert [one.amount_minor for one in statement.movements] == [1250, -200]


def test_two_columns_for_money_in_and_out():
    text = "Date,Details,Paid in,Paid out\n2026-03-10,a,10.00,\n2026-03-11,b,,4.00\n2026-03-11,c,,-5.00\n"
    assert [one.amount_minor for one in read(text).movements] == [1000, -400, -500]


@pytest.mark.parametrize(
    ("typed", "minor"),
    [
        ("1.234,50", 123_450), ("1,234.50", 123_450), ("1'234.50", 123_450), ("1 234,50", 123_450),
        ("12,50-", -1250), ("(12.50)", -1250), ("\u221212,50", -1250), ("+12.5", 1250), ("12 EUR", 1200),
        ("€ 12,00", 1200), ("1.234", 123_400),
    ],
)  # fmt: skip
def test_amounts_as_banks_write_them(typed, minor):
    assert read(f'Date;Name;Amount\n2026-03-10;Bo;"{typed}"\n2026-03-10;Bo;1\n').movements[0].amount_minor == minor


def test_days_that_can_be_read_two_ways_are_asked_for():
    sheet = look_at_csv(b"Date;Name;Amount\n03/10/2026;a;1\n04/11/2026;b;2\n")
    layout = guess_layout(sheet)
    assert layout.day_order == ""
    assert layout_faults(layout) == ["Say in which order day, month and year stand."]
    for order, day in (("dmy", "2026-10-03"), ("mdy", "2026-03-10")):
        chosen = Layout(layout.headings, layout.columns, order)
        assert read_csv(sheet, layout=chosen, currency="EUR").movements[0].booked_on.isoformat() == day


@pytest.mark.parametrize(
    ("days", "order"),
    [
        (["2026-03-10"], "ymd"), (["20260310"], "ymd"), (["13.03.26", "01.02.26"], "dmy"), (["03/13/2026"], "mdy"),
        (["2026-03-10T12:30:00"], "ymd"), (["10/10/2026"], "dmy"),
    ],
)  # fmt: skip
def test_order_of_days_is_found_where_only_one_is_possible(days, order):
    rows = "".join(f"{day};a;1\n" for day in days)
    assert guess_layout(look_at_csv(f"Date;Name;Amount\n{rows}".encode())).day_order == order


def test_headings_may_stand_anywhere_in_the_first_thirty_rows():
    preamble = "".join(f"Note {number}\n" for number in range(29))
    assert len(read(preamble + "Date;Name;Amount\n2026-03-10;a;1\n").movements) == 1
    with pytest.raises(StatementRefused, match="first 30 rows"):
        read(preamble + "One more\nDate;Name;Amount\n2026-03-10;a;1\n")


def test_saved_headings_are_known_again_whatever_they_are():
    data = b"X1;X2;X3\n2026-03-10;a;\n"
    assert look_at_csv(data, known=[("X1", "X2", "X3")]).headings == ("X1", "X2", "X3")
    with pytest.raises(StatementRefused):
        look_at_csv(data)


def test_rows_that_cannot_be_read_are_named_by_their_lines():
    text = "Date;Name;Amount\n2026-03-10;a;1\n2026-13-45;b;2\n2026-03-11;c;many\n"
    sheet = look_at_csv(text.encode())
    layout = Layout(sheet.headings, {Meaning.BOOKED_ON: "Date", Meaning.AMOUNT: "Amount"}, "ymd")
    with pytest.raises(StatementRefused, match=r"Line 3: “2026-13-45” is no day.*Line 4: “many” is no amount"):
        read_csv(sheet, layout=layout, currency="EUR")


def test_quotes_that_do_not_end_and_empty_files_are_refused():
    with pytest.raises(StatementRefused, match="quotes"):
        read('Date;Name;Amount\n2026-03-10;a;1\n2026-03-10;"never ends;1\n')
    with pytest.raises(StatementRefused, match="empty"):
        read(b"")
    with pytest.raises(StatementRefused, match="10 MB is the most"):
        read(b"a" * 10_000_001)
    with pytest.raises(StatementRefused, match="50,000"):
        read("Date;Name;Amount\n" + "2026-03-10;a;1\n" * 50_031)


def test_layout_keeps_what_it_says():
    layout = guess_layout(look_at_csv(GERMAN.encode()))
    assert Layout.from_json(layout.as_json()) == layout
    assert layout.columns[Meaning.NAME] == "Auftraggeber" and layout.columns[Meaning.TEXT] == "Verwendungszweck"


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        ({}, "day of booking"),
        ({Meaning.BOOKED_ON: "Date"}, "holds the amount"),
        ({Meaning.BOOKED_ON: "Date", Meaning.AMOUNT: "A", Meaning.CAME: "B"}, "either one"),
        ({Meaning.BOOKED_ON: "Date", Meaning.AMOUNT: "Date"}, "one thing only"),
    ],
)
def test_layouts_that_cannot_be_read_with_say_why(columns, words):
    assert any(words in one for one in layout_faults(Layout(("Date", "A", "B"), columns, "ymd")))
