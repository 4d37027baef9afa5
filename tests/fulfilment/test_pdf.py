"""What the slips and labels say and that nothing on them is cut, read back from the PDFs themselves."""

import io

import pdfplumber
import pytest

from campaign.models import Show, Studio
from campaign.pdf import render_pdfs
from fulfilment.models import Mailer, Parcel
from fulfilment.packing.label import INNER_HEIGHT_MM, INNER_WIDTH_MM, LABEL_SHEETS
from fulfilment.pdf import paper_names, paper_sources, postal_lines
from tests.builders import LONDON_ADDRESS
from tests.fulfilment.scene import close, end, order, print_all, work

MM = 72 / 25.4
LONG_NAME = "Bartholomew-Maximilian Featherstonehaugh-Wolfeschlegelsteinhausenbergerdorff III"
LONGEST_ADDRESS = {
    "country_code": "US",
    "company_name": "The Extraordinarily Long-Winded Society for Printed Matter of America",
    "street_address": "W" * 70 + "\nApartment 12, second stair, ring twice and wait for the porter please\n"
    "c/o another quite long line of a street address that fills it all up",
    "city": "Llanfairpwllgwyngyllgogerychwyrndrobwllllantysiliogogogoch",
    "country_area": "CA",
    "postal_code": "94105-1234",
}


@pytest.fixture
def parcels(show, engine):
    """Three parcels: the longest thing that can be typed, a plain one, and one abroad with signs of markup."""
    Show.objects.filter(pk=show.pk).update(length_unit="cm")
    same = {"name": "Erika Beispiel", "email": "erika@example.org"}
    order(show, **same, copies=2)
    order(show, **same)
    order(show, name='<script>alert("1")</script> & O’Brien', address=LONDON_ADDRESS)
    order(show, name="Aoife Sample", address=LONDON_ADDRESS)
    close(show)
    print_all(show)
    work(end(show))
    show.refresh_from_db()
    # More than an order may hold: what stands in the row is printed all the same.
    Parcel.objects.filter(name="Aoife Sample").update(name=LONG_NAME, address=LONGEST_ADDRESS)
    return list(Parcel.objects.prefetch_related("parcel_copies__copy__edition", "parcel_copies__copy__pledge"))


@pytest.fixture
def papers(parcels, show, monkeypatch):
    """The three papers as opened PDFs: slips, labels 4 × 6 in, labels A6; made by the real engine."""
    monkeypatch.delenv("PYTHONPATH")
    rendered = render_pdfs([source.pdf for source in paper_sources(parcels, show=show)])
    opened = [pdfplumber.open(io.BytesIO(paper.pdf)) for paper in rendered]
    yield opened
    for document in opened:
        document.close()


def words_of(page):
    return " ".join(page.extract_text().split())


def glyphs(page):
    """All text as one string without spaces: how it wraps does not matter."""
    return "".join(page.extract_text().split())


def test_the_papers_say_what_they_should_and_nothing_is_cut(papers, parcels, show):
    slips, *labels = papers[: 1 + len(LABEL_SHEETS)]  # customs notes follow: test_customs_paper.py
    plain, marked, long = sorted(parcels, key=lambda parcel: (len(parcel.name), parcel.number))
    _check_slip(slips.pages, parcels=parcels, plain=plain, show=show)
    for document, sheet in zip(labels, LABEL_SHEETS, strict=True):
        assert len(document.pages) == 3
        for page, parcel in zip(document.pages, parcels, strict=True):
            _check_label(page, parcel=parcel, sheet=sheet, show=show)
    by_number = {parcel.number: page for parcel, page in zip(parcels, labels[0].pages, strict=True)}
    assert "UNITED KINGDOM" in words_of(by_number[marked.number])
    assert '<script>alert("1")</script>&O’Brien' in glyphs(by_number[marked.number])
    assert "Germany" not in words_of(by_number[plain.number]).split("To ")[1], "no country within the country"
    assert "WWWW" in glyphs(by_number[long.number])


def _check_slip(pages, *, parcels, plain, show):
    assert len(pages) == 3
    for page, parcel in zip(pages, parcels, strict=True):
        text = words_of(page)
        assert f"Packing slip, parcel {parcel.number}" in text
        for row in parcel.parcel_copies.all():
            assert f"{row.copy.number}/20" in text
            assert row.copy.pledge.code in text
        assert parcel.code in glyphs(page)
        assert "€" not in text, "no price on a slip"
        assert _is_within(page.chars, page=page, margin_mm=8)
    text = words_of(pages[parcels.index(plain)])
    assert "1/20" in text
    assert "Harbour light" in text
    assert "Cotton paper 310 g" in text
    assert "29.7 × 21 cm" in text
    assert "540 g" in text
    assert "Flat between boards" in text
    assert "cotton gloves" in text
    assert f"The Net Loft, 15 May 2026 to {show.last_day_on:%-d %B %Y}" in text


def _check_label(page, *, parcel, sheet, show):
    assert (page.width, page.height) == pytest.approx((sheet.width_mm * MM, sheet.height_mm * MM), abs=0.5)
    box = (sheet.left_mm, sheet.top_mm, sheet.left_mm + INNER_WIDTH_MM, sheet.top_mm + INNER_HEIGHT_MM)
    assert all(
        char["x0"] >= box[0] * MM - 0.5
        and char["x1"] <= box[2] * MM + 0.5
        and char["top"] >= box[1] * MM - 0.5
        and char["bottom"] <= box[3] * MM + 0.5
        for char in page.chars
    ), "all type lies within the drawing"
    for line in postal_lines(parcel, sender_country=show.country):
        assert "".join(line.split()) in glyphs(page), "every line of the address is there to its last letter"
    assert "Beispielgasse3" in glyphs(page)
    assert parcel.code in glyphs(page)
    assert _blocks_are_apart(page, sheet=sheet)


def _is_within(chars, *, page, margin_mm):
    edge = margin_mm * MM
    return all(
        char["x0"] >= edge and char["x1"] <= page.width - edge and char["bottom"] <= page.height - edge
        for char in chars
    )


def _blocks_are_apart(page, *, sheet):
    """Sender, recipient and foot lie between the hairlines; no type crosses one."""
    rules = [(sheet.top_mm + at) * MM for at in (29, 101, 131)]
    return not any(char["top"] < rule < char["bottom"] for char in page.chars for rule in rules)


def test_names_of_papers_say_which_parcels_are_in_them(parcels):
    assert paper_names(parcels) == (
        "packing-slips-001-003.pdf",
        "labels-4x6-001-003.pdf",
        "labels-a6-001-003.pdf",
        "customs-cn23-001-003.pdf",
    )


def test_what_no_label_can_carry_is_printed_line_by_line(db):
    parcel = Parcel(name="😀 שלום", address={"country_code": "JP", "street_address": "1-1", "city": "Chiyoda"})
    assert postal_lines(parcel, sender_country="DE") == ("😀 שלום", "1-1", "Chiyoda", "JAPAN")
    assert postal_lines(Parcel(name="Jo", address={}), sender_country="DE") == ("Jo",)


def test_the_longest_sender_and_a_sender_without_address_stay_in_their_corner(parcels, show, monkeypatch):
    monkeypatch.delenv("PYTHONPATH")
    sender = "\n".join(["A studio name that is really far too long for any label " * 2] * 3)
    sources = []
    for address in (sender, ""):
        Studio.objects.filter(pk=1).update(address=address)
        sources.append(paper_sources(parcels[:1], show=show)[1].pdf)
    full, empty = render_pdfs(sources)
    with pdfplumber.open(io.BytesIO(full.pdf)) as document:
        assert _blocks_are_apart(document.pages[0], sheet=LABEL_SHEETS[0])
        assert glyphs(document.pages[0]).count("reallyfartoolong") >= 4
    with pdfplumber.open(io.BytesIO(empty.pdf)) as document:
        assert "Ada Example" in words_of(document.pages[0])


@pytest.mark.parametrize(("country", "size"), [("US", "letter"), ("DE", "A4")])
def test_slips_are_on_the_paper_of_the_country(parcels, show, country, size):
    show.country = country
    assert paper_sources(parcels, show=show)[0].pdf.context["page_size"] == size


def test_what_travels_in_a_tube_is_not_called_flat(parcels, show, monkeypatch):
    monkeypatch.delenv("PYTHONPATH")
    rolled, *others = parcels
    rolled.is_tube = True
    made = render_pdfs([source.pdf for source in paper_sources([rolled, *others], show=show)][:2])
    for paper in made:
        with pdfplumber.open(io.BytesIO(paper.pdf)) as document:
            first, second, _ = map(words_of, document.pages)
        assert "olled" in first and "lat between boards" not in first and "prints, flat" not in first
        assert "rolled" not in second.lower()


def _slip_of(parcel, *, show, monkeypatch):
    monkeypatch.delenv("PYTHONPATH", raising=False)
    source = paper_sources([parcel], show=show)[0].pdf
    return source.context["may_run_on"], render_pdfs([source])[0]


@pytest.mark.parametrize("country", ["US", "DE"])
@pytest.mark.parametrize("letter", ["W", "W "])
def test_a_slip_without_a_foot_stays_on_its_sheet_however_wide_its_letters(parcels, show, monkeypatch, country, letter):
    """As many wide letters as there may be before a slip gets a foot, and the longest address besides."""
    longest = next(parcel for parcel in parcels if parcel.name == LONG_NAME)
    edition = longest.parcel_copies.all()[0].copy.edition
    show.country, show.title, show.venue_name = country, letter * (80 // len(letter)), letter * (80 // len(letter))
    room = 50 * 9 - 2 * 80 - 50 - 30
    edition.title, edition.paper = (
        letter * (min(room, 160) // len(letter)),
        letter * (max(0, room - 160) // len(letter)),
    )
    has_foot, paper = _slip_of(longest, show=show, monkeypatch=monkeypatch)
    assert not has_foot
    assert paper.pages == 1
    with pdfplumber.open(io.BytesIO(paper.pdf)) as document:
        assert _is_within(document.pages[0].chars, page=document.pages[0], margin_mm=16)
    edition.paper += letter * 60
    assert _slip_of(longest, show=show, monkeypatch=monkeypatch)[0]


def test_a_slip_that_runs_on_says_on_each_sheet_what_it_belongs_to(show, engine, monkeypatch):
    order(show, name="Erika Beispiel", email="erika@example.org", copies=3)
    close(show)
    print_all(show)
    work(end(show))
    [parcel] = Parcel.objects.prefetch_related("parcel_copies__copy__edition", "parcel_copies__copy__pledge")
    for row in parcel.parcel_copies.all():
        row.copy.edition.title = row.copy.edition.paper = "W" * 160
    has_foot, paper = _slip_of(parcel, show=show, monkeypatch=monkeypatch)
    assert has_foot
    with pdfplumber.open(io.BytesIO(paper.pdf)) as document:
        assert len(document.pages) > 1
        assert all(words_of(sheet).count(f"Packing slip, parcel {parcel.number}") for sheet in document.pages)


def test_many_orders_in_one_parcel_and_long_names_stay_within_the_slip(parcels, show, monkeypatch):
    [row] = next(parcel for parcel in parcels if len(parcel.parcel_copies.all()) == 1).parcel_copies.all()
    monkeypatch.setattr("fulfilment.pdf.SLIP_ORDERS", 0)
    show.title = "The Extraordinarily Long-Winded Show of Printed Matter"
    row.parcel.mailer = Mailer(name="WWW " * 15)
    row.parcel._prefetched_objects_cache = {"parcel_copies": [row]}
    _, paper = _slip_of(row.parcel, show=show, monkeypatch=monkeypatch)
    with pdfplumber.open(io.BytesIO(paper.pdf)) as document:
        text = words_of(document.pages[0])
        assert "Order and 1 more" in text
        assert "Show The Extraordinarily Long…" in text
        assert "Packed in WWW WWW" in text
        assert _is_within(document.pages[0].chars, page=document.pages[0], margin_mm=16)
