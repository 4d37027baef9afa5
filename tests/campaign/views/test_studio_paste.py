"""Works pasted from a spreadsheet: looked at row by row, stored whole or not at all, twice is once."""

import random
import string

import pytest

from campaign.models import Show, Wall, Work
from tests.builders import NOW
from tests.campaign.views.studio_forms import words_of

pytestmark = pytest.mark.usefixtures("clock")
URL = "/studio/tideline/measure/works/paste/"
TABS = "code\ttitle\tneed\tsizes\tmust hang\nw01\tLow water\t5\t40x30cm; 60x45cm = 130%\tyes\nw07\tEbb\t\t30x20cm\t\n"


def look(client, text):
    return client.post(URL, {"text": text, "look": "1"})


def store(client, text):
    return client.post(URL, {"text": text, "store": "1"}, follow=True)


def told(answer):
    """(row, column, sentence) of everything that was refused."""
    return [(one.row, one.column, one.sentence) for one in answer.context["pasted"].refusals]


def test_looking_says_what_each_row_does_and_stores_nothing(ada_client, show):
    answer = look(ada_client, TABS)
    rows = answer.context["pasted"].rows
    assert [(row.number, row.title, row.outcome, row.changes) for row in rows] == [
        (2, "Low water", "changed", ("need 5 instead of 2", "must hang yes instead of no")),
        (3, "Ebb", "added", ("sizes 30 × 20 cm",)),
    ]
    assert "What storing it does: 1 work added, 1 changed." in answer.content.decode()
    assert show.works.count() == 6


def test_storing_stores_every_row_and_twice_is_once(ada_client, show):
    for times in range(2):
        answer = store(ada_client, TABS)
        assert answer.redirect_chain == [("/studio/tideline/measure/works/?as=table", 302)]
        assert words_of(answer)[0].startswith(("1 work added, 1 changed.", "0 works added, 0 changed.")[times])
    first, new = show.works.get(code="w01"), show.works.get(code="w07")
    assert (first.need, first.must_hang, first.medium) == (5, True, "pigment print")
    assert [size.factor_percent for size in first.sizes.all()] == [100, 130]
    assert (new.title, new.need, new.sizes.get().width_mm, new.position) == ("Ebb", 3, 300, 7)
    assert show.works.count() == 7
    assert "Take back: Works were pasted from a spreadsheet" in answer.content.decode()


@pytest.mark.parametrize(
    "text",
    [
        "title;sizes;need;net\nEbb;30,5 x 20 cm;4;1.234,50",
        'Title,Print size,Priority,To be left\nEbb,30.5 x 20 cm,4,"1,234.50"',
        "a note above\n\nname\tformat\trank\tnet price\n\nEbb\t305 x 200 mm\t4\t1 234,50 €\n# a comment\nTotal\t\t\t",
        '\ufefftitle\tsizes\tneed\tnet\r\n"Ebb"\t"30.5 x 20 cm"\t4\t1\'234.50\r\n',
    ],
)
def test_every_spreadsheet_s_way_of_writing_is_read(ada_client, show, text):
    assert look(ada_client, text).context["pasted"].refusals == ()
    store(ada_client, text)
    work = show.works.get(title="Ebb")
    assert (work.code, work.need, work.net_minor) == ("ebb", 4, 123_450)
    assert (work.sizes.get().width_mm, work.sizes.get().height_mm) == (305, 200)


def test_a_work_is_known_by_its_title_and_empty_cells_leave_what_is_there(ada_client, show):
    store(ada_client, "title\tseries\tneed\nlow WATER\tTides\t\nSalt store\t\t1\n")
    assert (show.works.get(code="w01").series, show.works.get(code="w01").need) == ("Tides", 2)
    assert (show.works.get(code="w05").series, show.works.get(code="w05").need) == ("", 1)
    assert show.works.count() == 6


def test_finishes_walls_and_places_are_known_by_code_or_name(ada_client, show):
    Wall.objects.filter(code="east").update(rows=2, row_height_mm=600)
    text = "code;finishes;wall;middle at;row\nw01;Pinned on board;East wall;1,2 m;2\nw02;frame;north;;\n"
    store(ada_client, text)
    work = show.works.get(code="w01")
    assert (work.finishes.get().code, work.pinned_wall.code, work.pinned_middle_mm, work.pinned_row) == (
        "board", "east", 1_200, 1,
    )  # fmt: skip
    assert show.works.get(code="w02").pinned_wall.code == "north"
    assert look(ada_client, text).context["pasted"].changed == 0


@pytest.mark.parametrize(
    ("text", "row", "column", "words"),
    [
        ("code;need\nw01;7", 2, "need", "Write a whole number from 1 to 5."),
        ("code;sizes\nw01;big", 2, "sizes", "Write"),
        ("title;need\nEbb;3", 2, "sizes", "A work that is new needs a print size"),
        ("code;sizes\nw99;30x20cm", 2, "title", "A work that is new needs a title."),
        ("code;finishes\nw01;fraem", 2, "finishes", "did you mean “frame”?"),
        ("code;wall\nw01;moon", 2, "wall", "is no wall of this show"),
        ("code;middle at\nw01;1 m", 2, "middle at", "A place needs its wall"),
        ("code;wall;middle at\nw01;east;9 m", 2, "middle at", "East wall is not that long"),
        ("code;wall;row\nw01;east;2", 2, "row", "one row only"),
        ("code;need\nw01;3\nW01;4", 3, "", "Row 2 is the same work"),
        ("code;need;Need\nw01;3;4", 1, "Need", "Another column has this meaning already"),
        ("code;need\nw01;3;4", 2, "", "The row has 3 cells but there are 2 headings"),
        ("just some words", None, "", "No row has the headings of this table"),
        ("code;need\n", None, "", "There is no row below the headings."),
        ('code;need\n"w01;3', None, "", "never closed"),
        ("code;need\n" + "w01;3\n" * 400, None, "", "more than 300 rows"),
    ],
)
def test_what_cannot_be_read_is_said_at_its_row_and_column_and_nothing_is_stored(
    ada_client, show, text, row, column, words
):
    before = [(work.code, work.need) for work in show.works.all()]
    for answer in (look(ada_client, text), store(ada_client, text)):
        assert answer.status_code == 200
        found = told(answer)
        assert any(r == row and c == column and words in sentence for r, c, sentence in found), found
        assert "Nothing can be stored yet" in answer.content.decode()
        assert b'name="store"' not in answer.content
    assert [(work.code, work.need) for work in show.works.all()] == before


def test_one_bad_row_keeps_all_of_them_out(ada_client, show):
    store(ada_client, "code;need\nw01;5\nw02;9\n")
    assert show.works.get(code="w01").need == 2


def test_unknown_columns_are_noted_and_left_out(ada_client, show):
    answer = look(ada_client, "code;need;weather\nw01;5;rain")
    assert [one.column for one in answer.context["pasted"].notes] == ["weather"]
    assert "This heading is not known" in answer.content.decode()


@pytest.mark.parametrize("seed", range(6))
def test_ten_thousand_letters_of_nonsense_are_answered_with_sentences(ada_client, show, seed):
    chance = random.Random(seed)
    letters = (string.printable, "title;sizes\tcode,need\n\"'=xX0123", "\u0001\u2028é€😀\ud7ff;\n\t")[seed % 3]
    text = "".join(chance.choice(letters) for _ in range(10_000))
    if seed > 2:
        text = f"code\ttitle\tsizes\tneed\tfinishes\twall\tmiddle at\tnet\n{text}"
    for answer in (look(ada_client, text), store(ada_client, text)):
        assert answer.status_code == 200
        page = answer.context
        assert page["form"].errors or page["pasted"].refusals or page["pasted"].rows
    assert Work.objects.count() == 6 or not look(ada_client, text).context["pasted"].refusals


@pytest.mark.parametrize(
    ("text", "words"),
    [("", "Nothing was pasted yet."), ("a\0b", "Null characters"), ("x" * 200_001, "more than 200,000 letters")],
)
def test_no_text_or_too_much_is_refused_at_the_field(ada_client, show, text, words):
    answer = look(ada_client, text)
    assert words in answer.context["form"].errors["text"][0]


def test_nothing_is_pasted_into_a_closed_campaign(ada_client, show):
    Show.objects.filter(pk=show.pk).update(state=Show.State.CLOSED, closed_at=NOW)
    answer = store(ada_client, TABS)
    assert "The campaign closed on" in answer.context["form"].non_field_errors()[0]
    assert show.works.count() == 6


def test_a_code_made_for_one_row_leaves_the_code_typed_in_another(ada_client, show):
    answer = store(ada_client, "code\ttitle\tsizes\n\tEbb tide\t30x20cm\nebb-tide\tFlow\t30x20cm\n")
    assert words_of(answer)[0].startswith("2 works added")
    assert dict(show.works.filter(title__in=["Ebb tide", "Flow"]).values_list("title", "code")) == {
        "Ebb tide": "ebb-tide-2", "Flow": "ebb-tide",
    }  # fmt: skip
