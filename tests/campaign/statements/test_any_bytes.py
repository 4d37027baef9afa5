"""Whatever is sent in ends in movements or in a refusal."""

import contextlib

from hypothesis import given, settings
from hypothesis import strategies as st

from campaign.statements import (
    StatementRefused,
    guess_layout,
    is_camt,
    layout_faults,
    look_at_csv,
    number_alike,
    propose,
    read_camt,
    read_csv,
)
from tests.campaign.statements.camt_files import bal, camt, details, entry, party

GOOD = camt(
    bal("OPBD", "100.00"), bal("CLBD", "149.90"),
    entry("49.90", inner=details(reference="RF18539007547034", words="x", parties=party("Bo", "NL91ABNA0417164300"))),
)  # fmt: skip
SHEET = b"Datum;Name;Text;Betrag\n10.03.2026;Bo;RF18;12,50\n11.03.2026;Cy;;-3,00\n"


def take_in(data):
    """Read as the product does, and look for matches."""
    try:
        if is_camt(data):
            statement = read_camt(data)
        else:
            sheet = look_at_csv(data)
            layout = guess_layout(sheet)
            if layout_faults(layout):
                return
            statement = read_csv(sheet, layout=layout, currency="EUR")
    except StatementRefused as refusal:
        assert str(refusal).endswith((".", ")."))
        return
    assert all(one.amount_minor and one.place for one in statement.movements)
    assert len({name for name, _ in number_alike(statement.movements, scope="")}) == len(statement.movements)
    assert len(propose(statement.movements, orders=[], currency="EUR")) == len(statement.movements)


@settings(max_examples=400)
@given(st.binary(max_size=2000))
def test_any_bytes(data):
    take_in(data)
    with contextlib.suppress(StatementRefused):
        read_camt(data)


@settings(max_examples=300)
@given(st.text(max_size=1000), st.sampled_from(["utf-8", "utf-16", "cp1252"]))
def test_any_text(text, encoding):
    take_in(text.encode(encoding, errors="replace"))


@settings(max_examples=600)
@given(
    st.sampled_from([GOOD, SHEET]),
    st.lists(st.tuples(st.floats(0, 1), st.integers(0, 6), st.binary(max_size=8)), min_size=1, max_size=4),
)
def test_damaged_files(data, damages):
    for where, cut, put in damages:
        place = int(where * len(data))
        data = data[:place] + put + data[place + cut :]
    take_in(data)


@settings(max_examples=300)
@given(
    st.lists(
        st.lists(st.text("0123456789.,;-/ €abÄ\"'()\n", max_size=14), min_size=3, max_size=5), min_size=1, max_size=6
    )
)
def test_any_cells_under_good_headings(rows):
    lines = [["Date", "Name", "Amount", "Reference", "Text"][: len(rows[0])], ["2026-03-10", "x", "1"], *rows]
    take_in("\n".join("|".join(row) for row in lines).encode())
