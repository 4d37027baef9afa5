"""The cut drawings as a paper, by the real engine: every leaf once, nothing over the next one, every print named."""

import io

import pypdf
import pytest

from fulfilment.queries import cut_drawings
from fulfilment.queries.cut_drawings import find_booklet, split_drawings
from fulfilment.queries.nests import read_nest_page
from fulfilment.queries.print_list import read_print_list
from fulfilment.services.cut_drawings import make_cut_drawings
from fulfilment.services.paper_stock import ChoiceWish, choose_papers
from tests.fulfilment.paper_scene import hung_show, lay, set_up

pytestmark = pytest.mark.usefixtures("db")


def drawings(show, nest, number="1"):
    booklet = find_booklet(show, nest=nest, number=number)
    return make_cut_drawings(show=show, nest=nest, booklet=booklet).pdf


def pages_of(pdf):
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]


@pytest.mark.parametrize(("country", "unit", "size"), [("DE", "cm", (595, 842)), ("US", "in", (612, 792))])
def test_the_paper_is_that_of_the_shows_country_and_names_every_print(show, country, unit, size):
    show.country, show.length_unit = country, unit
    show.save()
    hung_show(show)
    set_up(show, kind="sheets")
    reader = pypdf.PdfReader(io.BytesIO(drawings(show, lay(show))))
    assert {tuple(round(float(side)) for side in page.mediabox[2:]) for page in reader.pages} == {size}
    text = "\n".join(page.extract_text() for page in reader.pages)
    words = set(text.replace(",", " ").split())
    assert {line.label for line in read_print_list(show).lines} <= words
    assert ("Figures in inches" if unit == "in" else "Figures in cm") in " ".join(text.split())


def test_a_leaf_that_runs_on_begins_the_next_one_on_a_page_of_its_own(show):
    hung_show(show, orders=6)
    set_up(show, kind="sheets", width_mm=310, height_mm=230)
    set_up(show, name="Other", there_mm=0)
    choose_papers(
        show=show,
        wishes=[
            ChoiceWish(edition_code="harbour", paper_code="cotton-sheets"),
            ChoiceWish(finish_code="board", paper_code="other"),
            ChoiceWish(finish_code="frame", paper_code="other"),
        ],
    )
    pages = pages_of(drawings(show, lay(show)))
    headed = [page for page in pages if "Cuts in this order" in page]
    assert all(page.count("Cuts in this order") == 1 for page in headed)
    alike = next(page for page in headed if "Which print lies where" in page)
    assert "1–18" in alike, "sheets that lie alike are drawn once"


def test_the_same_nest_gives_the_same_bytes(show):
    hung_show(show)
    set_up(show)
    nest = lay(show)
    assert drawings(show, nest) == drawings(show, nest)


def test_many_drawings_come_in_several_papers_and_each_says_which_it_has(show, monkeypatch):
    monkeypatch.setattr(cut_drawings, "MOST_DRAWINGS", 3)
    monkeypatch.setattr(cut_drawings, "MOST_DRAWN_PRINTS", 9)
    hung_show(show)
    set_up(show)
    nest = lay(show)
    booklets = split_drawings(read_nest_page(nest, listed=read_print_list(show)))
    assert len(booklets) > 2
    labels = set()
    for booklet in booklets:
        first, *leaves = pages_of(drawings(show, nest, str(booklet.number)))
        assert f"Part {booklet.number} of {len(booklets)}: {booklet.name}." in " ".join(first.split())
        assert 1 <= sum("Cuts in this order" in leaf for leaf in leaves) <= 3
        labels |= set(" ".join(leaves).replace(",", " ").split())
    assert {line.label for line in read_print_list(show).lines} <= labels, "every print is drawn in one of them"
