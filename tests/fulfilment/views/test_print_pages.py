"""The pages of the room Print: print list, paper, laying and cutting; what helpers see, and what they do not."""

import re
import uuid

import pytest
from django.urls import reverse

from fulfilment.models import Nest, PaperChoice, PaperStock, ShowPrintEvent
from fulfilment.queries import cut_drawings
from fulfilment.queries.print_list import read_print_list
from fulfilment.services.paper_stock import PaperWish, remove_paper, save_paper
from tests.fulfilment.paper_scene import ROLL as PAPER
from tests.fulfilment.paper_scene import helper_client, hung_show, lay, set_up
from tests.fulfilment.scene import LATER, order

pytestmark = pytest.mark.usefixtures("db")
ROLL = {
    "name": "Rag 300", "item_code": "", "width_mm": "61 cm", "margin_mm": "5 mm", "gap_mm": "4 mm", "lead_mm": "2 cm",
    "tail_mm": "2 cm", "can_turn": "on", "there_mm": "1,5 m", "pack_mm": "10 m", "price_minor": "118",
    "spoil_bp": "5 %", "spare_prints": "", "drying_hours": "",
}  # fmt: skip
SHEETS = {
    "name": "Rag A2", "item_code": "", "width_mm": "42 cm", "height_mm": "59.4 cm", "margin_mm": "5 mm",
    "gap_mm": "4 mm", "can_turn": "on", "there_sheets": "3", "pack_sheets": "25", "price_minor": "49", "spoil_bp": "",
    "spare_prints": "1", "drying_hours": "36",
}  # fmt: skip


def address(name, show, *parts):
    return reverse(f"fulfilment:{name}", args=[show.code, *parts])


def html(client, name, show, *parts):
    return client.get(address(name, show, *parts)).content.decode()


def test_without_paper_the_pages_say_what_to_do_and_the_rest_works(ada_client, show):
    hung_show(show)
    assert "No paper is set up yet" in html(ada_client, "print_list", show)
    assert "No paper is set up yet" in html(ada_client, "paper_stock", show)
    assert "set up the paper" in html(ada_client, "cutting", show)
    assert "Mark as printed" in html(ada_client, "print", show)


def test_a_roll_is_set_up_as_typed(ada_client, show):
    assert ada_client.post(address("new_roll", show), ROLL).status_code == 302
    stock = PaperStock.objects.get()
    assert (stock.kind, stock.width_mm, stock.there_mm, stock.pack_mm) == ("roll", 610, 1_500, 10_000)
    assert (stock.price_minor, stock.spoil_bp, stock.drying_hours, stock.can_turn) == (11_800, 500, None, True)
    page = html(ada_client, "paper", show, stock.code)
    assert 'value="1.5 m"' in page and 'value="61 cm"' in page


def test_sheets_are_set_up_as_typed_and_changed(ada_client, show):
    ada_client.post(address("new_sheets", show), SHEETS)
    stock = PaperStock.objects.get()
    assert (stock.kind, stock.height_mm, stock.there_sheets, stock.pack_sheets) == ("sheets", 594, 3, 25)
    assert (stock.spare_prints, stock.drying_hours) == (1, 36)
    ada_client.post(address("paper", show, stock.code), SHEETS | {"there_sheets": "7"})
    stock.refresh_from_db()
    assert stock.there_sheets == 7


@pytest.mark.parametrize(
    ("name", "start", "field", "value", "sentence"),
    [
        ("new_roll", ROLL, "margin_mm", "40 cm", "no room for a print between the two sides"),
        ("new_roll", ROLL, "pack_mm", "four", "a length such as 12 m"),
        ("new_roll", ROLL, "pack_mm", "4 cm", "longer than what stays white"),
        ("new_roll", ROLL, "there_mm", "2 km", "a length such as 12 m, 9.5 m or 30 ft"),
        ("new_roll", ROLL, "price_minor", "", "required"),
        ("new_sheets", SHEETS, "margin_mm", "25 cm", "no room for a print on the sheet"),
        ("new_sheets", SHEETS, "pack_sheets", "0", "a whole number from 1"),
    ],
)
def test_bad_paper_gets_a_sentence_at_its_field(ada_client, show, name, start, field, value, sentence):
    page = ada_client.post(address(name, show), start | {field: value}).content.decode()
    assert sentence in page
    assert f'href="#id_{field}"' in page
    assert not PaperStock.objects.exists()


@pytest.mark.parametrize(
    ("unit", "typed", "length_mm", "written"),
    [
        ("cm", "1.234", 1_234, "123.4 cm"), ("cm", "30 ft", 9_144, "914.4 cm"), ("in", "30", 9_144, "30 ft"),
        ("in", "2 m", 2_000, "78.74 in"), ("mm", "12", 12_000, "12 m"), ("cm", "0", 0, "0 m"),
        ("cm", "147,5 cm", 1_475, "147.5 cm"), ("in", '58"', 1_473, "58 in"), ("in", "25'", 7_620, "25 ft"),
    ],
)  # fmt: skip
def test_lengths_of_rolls_are_read_and_written_in_metres_or_feet(ada_client, show, unit, typed, length_mm, written):
    show.length_unit = unit
    show.save(update_fields=["length_unit"])
    ada_client.post(address("new_roll", show), ROLL | {"there_mm": typed})
    stock = PaperStock.objects.get()
    assert stock.there_mm == length_mm
    shown = re.search(r'name="there_mm" value="([^"]+)"', html(ada_client, "paper", show, stock.code)).group(1)
    assert shown.replace("&quot;", '"') == written
    ada_client.post(address("paper", show, stock.code), ROLL | {"there_mm": shown})
    stock.refresh_from_db()
    assert stock.there_mm == length_mm, "what stands in the field means the same"


@pytest.mark.parametrize("name", ["Rag 300", "rag 300"])
def test_a_second_paper_of_the_same_name_is_refused_at_its_field(ada_client, show, name):
    ada_client.post(address("new_roll", show), ROLL)
    again = ada_client.post(address("new_roll", show), ROLL | {"name": name}).content.decode()
    assert "There is a paper called “Rag 300” already; give this one another name." in again
    assert 'href="#id_name"' in again
    ada_client.post(address("new_sheets", show), SHEETS)
    changed = ada_client.post(address("paper", show, "rag-a2"), SHEETS | {"name": name}).content.decode()
    assert "give this one another name" in changed
    assert list(PaperStock.objects.values_list("name", flat=True)) == ["Rag 300", "Rag A2"]
    assert ada_client.post(address("paper", show, "rag-300"), ROLL | {"name": name}).status_code == 302, "its own name"


def test_paper_is_taken_away_after_asking(ada_client, show):
    stock = set_up(show)
    assert "Take “Cotton roll” away?" in html(ada_client, "delete_paper", show, stock.code)
    assert PaperStock.objects.exists()
    ada_client.post(address("delete_paper", show, stock.code))
    assert not PaperStock.objects.exists()
    assert ada_client.get(address("paper", show, stock.code)).status_code == 404


def test_what_goes_on_which_paper_is_chosen_and_shown(ada_client, show):
    set_up(show, name="Rag")
    set_up(show, name="Baryta")
    shown = ada_client.get(address("paper_stock", show)).content.decode()
    assert "choose a paper" in shown
    ada_client.post(
        address("paper_stock", show), {"paper_0": "rag", "paper_1": "", "paper_2": "baryta", "border_2": "15 mm"}
    )
    assert sorted(PaperChoice.objects.values_list("finish_code", "stock__code", "border_mm")) == [
        ("", "baryta", 15), ("board", "rag", 0),
    ]  # fmt: skip
    page = ada_client.post(address("paper_stock", show), {"paper_0": "no such paper"}).content.decode()
    assert "Select a valid choice" in page


def test_prints_for_the_walls_are_ticked_spoiled_and_taken_back(ada_client, show):
    hung_show(show)
    keys = [line.key for line in read_print_list(show).wall][:2]
    mark = address("mark_wall_prints", show)
    assert "2 prints marked as printed." in ada_client.post(mark, {"ticked": keys}, follow=True).content.decode()
    spoil = {"ticked": keys[:1], "spoiled": "1", "note": "banding", "request_key": str(uuid.uuid4())}
    assert "1 print spoiled" in ada_client.post(mark, spoil, follow=True).content.decode()
    assert "0 prints spoiled" in ada_client.post(mark, spoil, follow=True).content.decode()
    assert "1 print back" in ada_client.post(mark, {"ticked": keys, "back": "1"}, follow=True).content.decode()
    assert list(ShowPrintEvent.objects.values_list("kind", "by")) == [
        ("printed", "ada"), ("printed", "ada"), ("spoiled", "ada"), ("not_printed", "ada"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("ticked", "sentence"), [([], "Tick the prints first."), (["wall/x/y/z"], "not in the print list")]
)
def test_a_bad_tick_gets_a_sentence(ada_client, show, ticked, sentence):
    hung_show(show)
    page = ada_client.post(address("mark_wall_prints", show), {"ticked": ticked}).content.decode()
    assert page.count(sentence) == 2, "in the summary and at the table"
    assert 'id="id_ticked"' in page


def test_prints_are_laid_out_with_what_is_there_and_drawn_to_scale(ada_client, show):
    hung_show(show)
    stock = set_up(show)
    key = str(uuid.uuid4())
    asked = {"request_key": key, f"there_{stock.pk}": "2.5 m"}
    for _ in range(2):
        page = ada_client.post(address("lay_prints", show), asked, follow=True).content.decode()
    assert Nest.objects.count() == 1
    stock.refresh_from_db()
    assert stock.there_mm == 2_500
    assert 'class="cu-line"' in page and "Cuts in this order" in page
    assert "Length 1 of Cotton roll" in page


def test_a_bad_count_lays_nothing(ada_client, show):
    hung_show(show)
    stock = set_up(show)
    asked = {"request_key": str(uuid.uuid4()), f"there_{stock.pk}": "much"}
    page = ada_client.post(address("lay_prints", show), asked).content.decode()
    assert "a length such as 12 m" in page
    assert not Nest.objects.exists()


def test_nothing_to_lay_is_said(ada_client, show):
    page = ada_client.post(address("lay_prints", show), {"request_key": str(uuid.uuid4())}, follow=True)
    assert "There is nothing to lay out" in page.content.decode()


def test_a_sheet_is_ticked_in_one_go_and_the_next_one_opens(ada_client, show):
    hung_show(show)
    set_up(show)
    nest = lay(show)
    part = {"nest": nest.code, "paper": "cotton-roll", "part": "1"}
    page = ada_client.post(address("mark_sheet", show), part, follow=True).content.decode()
    assert re.search(r"Length 1: \d prints? marked as printed", page)
    assert "Length 2 of Cotton roll" in page


WRONG = [{"paper": "x"}, {"part": "99"}, {"part": "01"}, {"part": ""}, {"nest": "OTHER"}, {"nest": ""}]


@pytest.mark.parametrize("wrong", WRONG)
def test_no_other_sheet_is_marked_in_place_of_one_that_is_not_there(ada_client, show, wrong):
    hung_show(show)
    set_up(show)
    part = {"nest": lay(show).code, "paper": "cotton-roll", "part": "1"}
    assert ada_client.post(address("mark_sheet", show), part | wrong).status_code == 404
    assert all(line.printed_at is None for line in read_print_list(show).lines)


def test_a_spoiled_sheet_waits_for_another_place(ada_client, show):
    hung_show(show)
    set_up(show)
    nest = lay(show)
    part = {"nest": nest.code, "paper": "cotton-roll", "part": "1", "spoiled": "1", "note": "head strike"}
    spoil = part | {"request_key": str(uuid.uuid4())}
    page = ada_client.post(address("mark_sheet", show), spoil, follow=True).content.decode()
    assert re.search(r"Length 1: \d prints? spoiled, to be printed again", page)
    assert re.search(r"ha(s|ve) no place yet", page)
    assert "Length 2 of Cotton roll" in page
    assert "0 prints spoiled" in ada_client.post(address("mark_sheet", show), spoil, follow=True).content.decode()
    page = ada_client.post(address("mark_sheet", show), part | {"note": "x" * 201}).content.decode()
    assert "at most 200 characters" in page and 'href="#id_note"' in page


def test_the_page_says_what_has_no_place_since(ada_client, show):
    order(show, copies=2)
    set_up(show)
    lay(show)
    order(show, copies=1)
    page = html(ada_client, "cutting", show)
    assert re.search(r"ha(s|ve) no place yet", page) and "A3" in page


def test_the_drawings_are_a_paper_of_the_nest_asked_for(ada_client, show, engine):
    hung_show(show)
    set_up(show)
    nest = lay(show)
    answer = ada_client.get(address("cut_drawings_pdf", show) + f"?nest={nest.code}")
    assert answer["Content-Type"] == "application/pdf" and answer.content.startswith(b"%PDF")
    assert ada_client.get(address("cut_drawings_pdf", show) + "?nest=other").status_code == 404
    engine("missing")
    page = ada_client.get(address("cut_drawings_pdf", show), follow=True).content.decode()
    assert "pango" in page


def test_many_drawings_are_offered_in_parts(ada_client, show, monkeypatch):
    hung_show(show)
    set_up(show)
    nest = lay(show)
    pdf = address("cut_drawings_pdf", show)
    assert "All drawings as a paper (PDF)" in html(ada_client, "cutting", show)
    monkeypatch.setattr(cut_drawings, "MOST_DRAWINGS", 3)
    page = html(ada_client, "cutting", show)
    assert "since one takes 3 drawings and 150 prints at most" in page
    links = re.findall(rf'href="{pdf}\?nest={nest.code}&amp;pdf=(\d)">(Cotton roll, length[^<]+)<', page)
    assert [number for number, _ in links] == [str(at) for at in range(1, len(links) + 1)] and len(links) > 1
    answer = ada_client.get(f"{pdf}?nest={nest.code}&pdf=2")
    assert answer.content.startswith(b"%PDF") and f"cut-drawings-{show.code}-2.pdf" in answer["Content-Disposition"]
    for odd in ("0", "99", "x", "²", "01"):
        assert ada_client.get(f"{pdf}?nest={nest.code}&pdf={odd}").status_code == 404


MONEY = re.compile(r"€|118|Price", re.IGNORECASE)


def test_helpers_see_list_drawings_and_ticks_and_no_money(django_user_model, show):
    hung_show(show)
    set_up(show)
    nest = lay(show)
    browser = helper_client(django_user_model)
    for name in ("print_list", "cutting", "print", "print_days"):
        answer = browser.get(address(name, show))
        assert answer.status_code == 200
        assert not MONEY.search(re.sub(r'name="csrfmiddlewaretoken" value="\w+"', "", answer.content.decode())), name
    keys = [line.key for line in read_print_list(show).wall][:1]
    assert browser.post(address("mark_wall_prints", show), {"ticked": keys}).status_code == 302
    part = {"nest": nest.code, "paper": "cotton-roll", "part": "2"}
    assert browser.post(address("mark_sheet", show), part).status_code == 302
    assert set(ShowPrintEvent.objects.values_list("by", flat=True)) == {"bob"}


@pytest.mark.parametrize("name", ["paper_stock", "new_roll", "new_sheets", "shopping"])
def test_helpers_do_not_find_what_has_prices(django_user_model, show, name):
    assert helper_client(django_user_model).get(address(name, show)).status_code == 404


def test_helpers_do_not_lay_out(django_user_model, show):
    hung_show(show)
    set_up(show)
    browser = helper_client(django_user_model)
    assert "Lay out" not in browser.get(address("cutting", show)).content.decode()
    assert browser.post(address("lay_prints", show), {"request_key": str(uuid.uuid4())}).status_code == 404


def test_the_shopping_list_has_packs_and_sums(ada_client, show):
    hung_show(show)
    set_up(show, kind="sheets", there_sheets=1)
    assert "Nothing is laid out yet" in html(ada_client, "shopping", show)
    lay(show)
    page = html(ada_client, "shopping", show)
    assert re.search(r"\d packs? of 5", page) and re.search(r"€\d+\.00", page)


def test_the_shopping_list_says_in_its_first_sentence_whether_something_is_to_be_bought(ada_client, show):
    hung_show(show)
    stock = set_up(show, there_mm=0, price_minor=0)
    lay(show)
    page = html(ada_client, "shopping", show)
    assert "Something is still to be bought" in page and "Everything is there" not in page
    assert "stands at 0: Cotton roll" in page
    save_paper(show=show, stock=stock, wish=PaperWish(**PAPER | {"there_mm": 100_000}), now=LATER)
    page = html(ada_client, "shopping", show)
    assert re.search(r"€\d+\.00 for what was not there when it was laid out", page)
    assert "Counted anew since that layout: Cotton roll, 100 m there now" in page
    assert "Counted anew since: Cotton roll" in html(ada_client, "cutting", show)
    lay(show)
    page = html(ada_client, "shopping", show)
    assert "Everything is there." in page and "Counted anew" not in page
    remove_paper(show=show, stock=stock)
    page = html(ada_client, "shopping", show)
    assert "Nothing to buy for what is counted here, but not everything is counted" in page


def test_the_days_say_what_comes_out_when(ada_client, show):
    assert "nothing to print at home yet" in html(ada_client, "print_days", show)
    hung_show(show)
    assert "every print is reckoned by itself" in html(ada_client, "print_days", show)
    set_up(show)
    lay(show)
    page = html(ada_client, "print_days", show)
    assert "the last print comes out on" in page
    assert "?paper=cotton-roll&amp;part=1#drawing" in page
    assert "Can hang from" in page


def test_a_show_called_off_prints_nothing_any_more(ada_client, show):
    type(show).objects.filter(pk=show.pk).update(state="called_off", closed_at=show.closes_at)
    for name in ("print_list", "print_days"):
        assert "The show is called off" in html(ada_client, name, show)
