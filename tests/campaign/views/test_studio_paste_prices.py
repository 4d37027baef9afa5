"""The price book pasted from a spreadsheet."""

from datetime import date

import pytest

from campaign.models import PriceStep
from tests.campaign.views.studio_forms import words_of

pytestmark = pytest.mark.usefixtures("clock")
URL = "/studio/tideline/measure/prices/paste/"
ROWS = (
    "code;name;unit;price;per;mass per unit;priced on;sold in packs;on the shelf\n"
    "ink;;;10,50;;;;;\n"
    ";Archival boxes;pieces;1.234,50;25;120 g;05.03.2026;yes;3\n"
    "help;Framing help;hour;30;;;;;\n"
)


def look(client, text):
    return client.post(URL, {"text": text, "look": "1"})


def store(client, text):
    return client.post(URL, {"text": text, "store": "1"}, follow=True)


def test_looking_says_what_each_row_does_and_storing_does_it_once(ada_client, show):
    answer = look(ada_client, ROWS)
    assert [(row.number, row.outcome, row.changes) for row in answer.context["pasted"].rows] == [
        (2, "changed", ("price €10.50 instead of €9.00",)),
        (3, "added", ("unit “piece”", "price €1,234.50", "per 25", "mass per unit 120 g", "priced on 2026-03-05",
                      "sold in packs yes", "on the shelf 3")),
        (4, "added", ("unit “minute”", "price €30.00", "per 60")),
    ]  # fmt: skip
    assert show.price_items.count() == 6
    for times in range(2):
        answer = store(ada_client, ROWS)
        assert words_of(answer)[0].startswith(("2 prices added, 1 changed.", "0 prices added, 0 changed.")[times])
    boxes = show.price_items.get(code="archival-boxes")
    assert (boxes.per_milli, boxes.priced_on, boxes.is_sold_in_packs, boxes.shelf_milli) == (
        25_000, date(2026, 3, 5), True, 3_000,
    )  # fmt: skip
    assert show.price_items.get(code="help").per_milli == 60_000
    assert show.price_items.get(code="ink").price_minor == 1_050
    assert show.price_items.count() == 8
    assert "Take back: Prices were pasted from a spreadsheet" in answer.content.decode()


@pytest.mark.parametrize(
    ("text", "row", "column", "words"),
    [
        ("code;price\nink;cheap", 2, "price", "Write"),
        ("name;price\nTape;3", 2, "unit", "An entry that is new needs a unit"),
        ("code;unit\npaper;m", 2, "unit", "count “Cotton paper 310 g” by its unit"),
        ("code;sold in packs\npaper;no", 2, "sold in packs", "has price steps"),
        ("code;price\nink;3\nINK;4", 3, "", "Row 2 is the same entry"),
        ("nothing known", None, "", "No row has the headings of this table"),
    ],
)
def test_what_cannot_be_read_is_said_at_its_row_and_column(ada_client, show, text, row, column, words):
    paper = show.price_items.get(code="paper")
    PriceStep.objects.create(item=paper, from_packs=4, price_minor=2_000)
    type(paper).objects.filter(pk=paper.pk).update(is_sold_in_packs=True)
    for answer in (look(ada_client, text), store(ada_client, text)):
        found = [(one.row, one.column, one.sentence) for one in answer.context["pasted"].refusals]
        assert any(r == row and c == column and words in sentence for r, c, sentence in found), found
    assert show.price_items.count() == 6
    assert show.price_items.get(code="ink").price_minor == 900
