"""What customs notes say and that each is one page of its size, read back from the PDFs themselves."""

import io

import pdfplumber
import pytest

from campaign.errors import NotReady
from campaign.models import Copy, Show, Studio
from campaign.pdf import render_pdfs
from campaign.queries.basket import LineWish
from fulfilment.customs_paper import _net_words, customs_lines, customs_names
from fulfilment.models import Parcel, TravelFacts
from fulfilment.pdf import paper_names, paper_sources
from fulfilment.queries.packing_station import read_station
from fulfilment.services.chosen_papers import chosen_source
from fulfilment.services.production import tick_printed
from tests.builders import LONDON_ADDRESS, add_small_edition
from tests.fulfilment.packed import FLAT, set_up_customs, set_up_packing, set_up_service
from tests.fulfilment.scene import LATER, close, end, order, work
from tests.fulfilment.test_pdf import LONG_NAME, LONGEST_ADDRESS

pytestmark = pytest.mark.django_db
MM = 72 / 25.4
ROOMY = {**FLAT, "inner_depth_mm": 30, "outer_depth_mm": 34}
ZURICH = {"country_code": "CH", "street_address": "Beispielweg 4", "postal_code": "8001", "city": "Zürich"}
PREFETCH = ("parcel_copies__copy__edition", "parcel_copies__copy__pledge", "parcel_copies__copy__line")


@pytest.fixture
def parcels(show, engine):
    """A CN 22 to London with two editions, a CN 23 to Zürich, and a parcel that stays in the customs area."""
    Show.objects.filter(pk=show.pk).update(length_unit="cm")
    add_small_edition(show)
    set_up_packing(show, mailers=(ROOMY,))
    TravelFacts.objects.filter(edition__code="pocket").update(content_words="", origin_country="FR", mass_g=12)
    set_up_service(show, zone="Europe")
    set_up_service(show, zone="World", is_letter_post=False, insured_up_to_minor=5_000)
    set_up_customs(show, eori="DE1234567", ioss_number="IM2760000000")
    order(show, name="Mary Sample", lines=(LineWish("harbour", 2), LineWish("pocket", 1)), address=LONDON_ADDRESS)
    order(show, name="Reto Beispiel", copies=3, address=ZURICH)
    order(show, name="Erika Beispiel")
    close(show)
    for edition in show.editions.all():
        numbers = edition.copies.filter(state="spoken_for").values_list("number", flat=True)
        tick_printed(edition=edition, numbers=list(numbers), now=LATER)
    work(end(show))
    show.refresh_from_db()
    return list(Parcel.objects.order_by("number").prefetch_related(*PREFETCH))


@pytest.fixture
def notes(parcels, show, monkeypatch):
    """The two papers with customs notes, made by the real engine and opened."""
    monkeypatch.delenv("PYTHONPATH")
    sources = [one for one in paper_sources(parcels, show=show) if one.name.startswith("customs")]
    opened = [pdfplumber.open(io.BytesIO(paper.pdf)) for paper in render_pdfs([one.pdf for one in sources])]
    yield opened
    for document in opened:
        document.close()


def said(page, *parts):
    """Whether each of `parts` stands on the page, in the order of drawing; how lines wrap does not matter."""
    drawn = "".join(char["text"] for char in page.chars).replace(" ", "").replace("\xa0", "")
    return [part for part in parts if part.replace(" ", "") not in drawn] == []


def size_of(page):
    return round(page.width / MM), round(page.height / MM)


def check_inside(page):
    """Nothing stands outside the page or within 2.5 mm of its edge."""
    edge = 2.5 * MM
    for char in page.chars:
        assert char["x0"] >= edge and char["x1"] <= page.width - edge, char["text"]
        assert char["top"] >= edge and char["bottom"] <= page.height - edge, char["text"]


def test_each_parcel_that_leaves_has_its_note_on_one_page_of_its_size(notes, parcels):
    assert sorted(parcel.customs_note for parcel in parcels) == ["", "CN 22", "CN 23"]
    short, full = notes
    assert [size_of(page) for page in short.pages] == [(74, 105)]
    assert [size_of(page) for page in full.pages] == [(210, 148)]
    for page in (*short.pages, *full.pages):
        check_inside(page)


def test_the_short_note_says_what_is_in_it_line_by_line(notes):
    (page,) = notes[0].pages
    assert said(page, "CN 22", "× Sale of goods", "Ada Example", "EORI DE1234567", "Date and sender’s signature")
    assert said(
        page, "2 × Limited edition print on paper, 29.7 × 21 cm", "HS 4911.91 origin DE", "0.080 kg", "90.00 EUR"
    )
    assert said(page, "1 × Printed picture on paper, 15 × 10 cm", "HS 4911.91 origin FR", "0.012 kg", "14.00 EUR")
    assert said(page, "Total, weight with packing", "0.212 kg", "104.00 EUR")


def test_the_full_note_says_from_whom_to_whom_and_what_was_paid(notes):
    (page,) = notes[1].pages
    assert said(
        page, "CN 23", "Ada Example", "Beispielgasse 3", "Germany", "Reto Beispiel", "8001 Zürich", "SWITZERLAND"
    )
    assert said(page, "Limited edition print on paper, 29.7 × 21 cm", "135.00 EUR", "gross weight 0.240 kg", "0.120 kg")
    assert said(page, "15.90 EUR; insured for 50.00 EUR", "EORI DE1234567")


def test_the_number_for_imports_into_the_union_stands_on_notes_to_it_alone(notes, parcels, show):
    assert not any(said(page, "IOSS") for note in notes for page in note.pages)
    Parcel.objects.filter(customs_note="CN 23").update(address={**ZURICH, "country_code": "FR"})
    moved = list(Parcel.objects.filter(customs_note="CN 23").prefetch_related(*PREFETCH))
    context = next(one.pdf for one in paper_sources(moved, show=show) if one.name.startswith("customs"))
    (made,) = render_pdfs([context])
    with pdfplumber.open(io.BytesIO(made.pdf)) as document:
        assert said(document.pages[0], "IOSS IM2760000000")


def test_a_note_is_made_once_more_on_demand_for_those_that_need_it(parcels, show):
    source = chosen_source("customs-cn22", parcels, show=show)
    assert [note["parcel"].customs_note for note in source.context["notes"]] == ["CN 22"]
    assert source.context["title"].startswith("Customs notes CN 22, parcel ")
    home = [parcel for parcel in parcels if not parcel.customs_note]
    with pytest.raises(NotReady, match="None of these parcels needs a customs note CN 23"):
        chosen_source("customs-cn23", home, show=show)


def test_the_sums_of_the_note_are_those_of_the_parcel(parcels, show):
    facts = {one.edition_id: one for one in TravelFacts.objects.all()}
    for parcel in parcels:
        lines = customs_lines(parcel, facts=facts, show=show)
        assert sum(line.value_minor for line in lines) == parcel.value_minor
        assert sum(line.mass_g for line in lines) + ROOMY["mass_g"] == parcel.mass_g
        assert sum(line.quantity for line in lines) == parcel.parcel_copies.count()


def test_only_the_papers_that_are_needed_have_names(parcels):
    needless = [parcel for parcel in parcels if not parcel.customs_note]
    assert customs_names(needless) == ()
    assert customs_names(parcels) == ("customs-cn22-001-003.pdf", "customs-cn23-001-003.pdf")
    assert set(customs_names(needless, with_needless=True)) < set(paper_names(needless, with_needless=True))


def test_a_gift_alone_is_a_gift_and_with_a_sale_a_sale(parcels, show):
    TravelFacts.objects.filter(edition__code="pocket").update(reason="gift")
    contexts = [one.pdf.context for one in paper_sources(parcels, show=show) if one.name.startswith("customs")]
    ticked = [[words for words, is_ticked in note["reasons"] if is_ticked] for one in contexts for note in one["notes"]]
    assert ticked == [["Sale of goods"], ["Sale of goods"]]
    TravelFacts.objects.update(reason="gift")
    contexts = [one.pdf.context for one in paper_sources(parcels, show=show) if one.name.startswith("customs")]
    assert [words for words, is_ticked in contexts[0]["notes"][0]["reasons"] if is_ticked] == ["Gift"]


def test_a_short_note_of_two_lines_keeps_its_usual_type_and_its_page(parcels, show, monkeypatch):
    monkeypatch.delenv("PYTHONPATH")
    Studio.objects.update(address="Ada Example\nc/o Printing house\nBeispielgasse 3 b\n10115 Berlin\nGermany")
    source = next(one.pdf for one in paper_sources(parcels, show=show) if one.name.startswith("customs-cn22"))
    (note,) = source.context["notes"]
    assert len(note["lines"]) == 2 and not note["is_dense"]
    (made,) = render_pdfs([source])
    assert made.pages == 1


def test_a_note_with_many_lines_and_long_words_stays_on_its_page(parcels, show, monkeypatch):
    monkeypatch.delenv("PYTHONPATH")
    TravelFacts.objects.update(content_words="W" * 20 + " limited edition pigment print on cotton", reason="sale")
    Studio.objects.update(
        address="Ada Example\nc/o A very long name of a studio house in the yard\nBeispielgasse 3 b\n10115 Berlin"
    )
    short = next(parcel for parcel in parcels if parcel.customs_note == "CN 22")
    context = next(one.pdf for one in paper_sources(parcels, show=show) if one.name.startswith("customs-cn22"))
    note = context.context["notes"][0]
    note["lines"], note["is_dense"] = (note["lines"] * 3)[:6], True
    (made,) = render_pdfs([context])
    assert made.pages == 1, short
    with pdfplumber.open(io.BytesIO(made.pdf)) as document:
        check_inside(document.pages[0])


def test_the_longest_address_stays_within_the_full_note(parcels, show, monkeypatch):
    monkeypatch.delenv("PYTHONPATH")
    full = Parcel.objects.filter(customs_note="CN 23")
    full.update(name=LONG_NAME, address=LONGEST_ADDRESS)
    (source,) = [
        one for one in paper_sources(list(full.prefetch_related(*PREFETCH)), show=show) if "cn23" in one.name
    ]  # fmt: skip
    (made,) = render_pdfs([source.pdf])
    assert made.pages == 1
    with pdfplumber.open(io.BytesIO(made.pdf)) as document:
        check_inside(document.pages[0])
        assert said(document.pages[0], "W" * 40, "UNITED STATES", "94105-1234", "Date and sender’s signature")


def test_net_is_left_blank_where_it_would_be_more_than_the_whole(parcels, show):
    """Nobody said what a print weighs by itself, so the sum has its packing in it; the scales say less."""
    lines = customs_lines(parcels[0], facts={}, show=show)
    net_g = sum(line.mass_g for line in lines)
    assert _net_words(lines, gross_g=net_g).endswith(" kg")
    assert _net_words(lines, gross_g=net_g - 1) == ""


def test_the_station_says_that_a_note_is_printed_anew(parcels, show):
    mary = next(one for one in parcels if one.name == "Mary Sample")
    assert not any(one.needs_new_note for one in read_station(show, now=LATER).parcels)
    Copy.objects.filter(pk=mary.parcel_copies.first().copy_id).update(state="free", pledge=None, line=None)
    assert [one.name for one in read_station(show, now=LATER).parcels if one.needs_new_note] == ["Mary Sample"]
