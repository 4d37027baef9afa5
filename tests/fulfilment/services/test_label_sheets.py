"""Labels on sheets and the picking list as the real engine makes them: places, codes, boxes, refusals."""

import io

import pypdfium2
import pytest
import zxingcpp

from campaign.models import Studio
from campaign.pdf import render_pdfs
from campaign.services.pledges import cancel_pledge
from fulfilment.errors import LabelsDoNotFit
from fulfilment.models import LabelStock, Parcel
from fulfilment.packing import PRESETS, LabelGrid
from fulfilment.pdf import postal_lines
from fulfilment.queries.paper_choice import BACK_AGAIN, TO_POST, choose_parcels, find_grid, read_choices
from fulfilment.services.chosen_papers import chosen_source, make_chosen
from fulfilment.services.label_sheets import make_label_sheets, save_label_sheet
from fulfilment.services.picking_list import _blocks
from tests.builders import LONDON_ADDRESS, NOW
from tests.fulfilment.scene import close, end, order, print_all, work

pytestmark = pytest.mark.django_db
MM = 72 / 25.4
USUAL, SMALL = PRESETS[0], PRESETS[4]


@pytest.fixture
def parcels(show, engine, monkeypatch):
    """Five parcels of one to three copies, one of them abroad; made by the quick engine, looked at by the real one."""
    for number in range(5):
        address = {"address": LONDON_ADDRESS} if number == 2 else {}
        order(show, name=f"Person Number{number}", copies=1 + number % 3, **address)
    close(show)
    print_all(show)
    work(end(show))
    show.refresh_from_db()
    monkeypatch.delenv("PYTHONPATH")
    return choose_parcels(show, which="all")


def pages_of(made):
    return list(pypdfium2.PdfDocument(io.BytesIO(made.pdf)))


def codes_on(page):
    picture = page.render(scale=300 / 72, grayscale=True).to_pil()
    return [code.text for code in zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.Code128)]


def type_on(page):
    """Each piece of type with its box in mm from left and top."""
    text, height = page.get_textpage(), page.get_size()[1]
    for number in range(text.count_rects()):
        left, bottom, right, top = text.get_rect(number)
        words = text.get_text_bounded(left, bottom, right, top)
        yield words, left / MM, (height - top) / MM, right / MM, (height - bottom) / MM


def place_of(grid, left, top, right, bottom):
    """The place whose label holds this box; None if none does."""
    for place in range(1, grid.places + 1):
        x, y = grid.place_mm(place)
        is_across = x <= left and right <= x + grid.width_tenths / 10
        if is_across and y <= top and bottom <= y + grid.height_tenths / 10:
            return place
    return None


@pytest.mark.parametrize(("grid", "first"), [(USUAL, 6), (SMALL, 20), (PRESETS[5], 1)])
def test_labels_stand_in_their_places_from_the_first_free_one_on_and_read_back(show, parcels, grid, first):
    made = make_label_sheets(parcels, show=show, grid=grid, first_place=first)
    assert made.pages == grid.sheets_for(len(parcels), first_place=first)
    where = [divmod(first - 1 + at, grid.places) for at in range(len(parcels))]
    for sheet, page in enumerate(pages_of(made)):
        expected = {1 + place: parcel for parcel, (on, place) in zip(parcels, where, strict=True) if on == sheet}
        assert sorted(codes_on(page)) == sorted(parcel.code for parcel in expected.values())
        said: dict[int, str] = {}
        for words, *box in type_on(page):
            place = place_of(grid, *box)
            assert place, f"{words} is on no label"
            said[place] = said.get(place, "") + "".join(words.split())
        assert said.keys() == expected.keys()
        for place, parcel in expected.items():
            for line in postal_lines(parcel, sender_country=show.country):
                assert "".join(line.split()) in said[place]
            assert parcel.code in said[place]
            assert "Beispielgasse3" in said[place]


def test_the_same_rows_give_the_same_bytes(show, parcels):
    for kind in ("slips", "labels-4x6", "labels-a6", "sheets", "picking"):
        first, second = (make_chosen(kind, parcels, show=show, grid=USUAL, first_place=3).pdf for _ in range(2))
        assert first == second, kind


def test_an_address_that_a_label_cannot_hold_is_refused_with_its_parcel_and_never_cut(show, parcels):
    Parcel.objects.filter(number__in=(2, 3)).update(
        address={**parcels[1].address, "street_address": "\n".join(["A long line of a street " * 3] * 3)}
    )
    parcels = choose_parcels(show, which="all")
    with pytest.raises(LabelsDoNotFit, match=r"parcels 2-3 are more than a label of 63\.5 × 38\.1 mm holds"):
        make_label_sheets(parcels, show=show, grid=SMALL, first_place=1)
    assert make_label_sheets(parcels, show=show, grid=USUAL, first_place=1).pages == 1
    Studio.objects.filter(pk=1).update(address="\n".join(["A name that no label holds " * 4] * 3))
    with pytest.raises(LabelsDoNotFit, match="Your own address is more than a label"):
        make_label_sheets(parcels, show=show, grid=USUAL, first_place=1)


def test_the_sheet_is_said_once_and_one_that_no_page_holds_is_refused(show, parcels):
    assert find_grid() is None
    save_label_sheet(grid=SMALL)
    save_label_sheet(grid=USUAL)
    assert find_grid() == USUAL
    with pytest.raises(LabelsDoNotFit, match="the page is 210 mm"):
        save_label_sheet(grid=LabelGrid("A4", 3, 4, 991, 677, 47, 131))
    assert LabelStock.objects.count() == 1


def test_parcels_are_chosen_by_number_by_state_and_by_what_became_of_them(show, parcels):
    posted, back, again, *_ = parcels
    Parcel.objects.filter(pk__in=(posted.pk, back.pk)).update(state="posted", posted_at=NOW)
    back.events.create(kind="damaged", happened_at=NOW)
    posted.events.create(kind="returned", happened_at=NOW)
    posted.events.create(kind="delivered", happened_at=NOW)  # the later word counts
    Parcel.objects.filter(pk=again.pk).update(posting=2)

    def numbers(which, *numbers):
        return [parcel.number for parcel in choose_parcels(show, which=which, numbers=numbers)]

    assert numbers("all") == [1, 2, 3, 4, 5]
    assert numbers(TO_POST) == [3, 4, 5]
    assert numbers(BACK_AGAIN) == [2, 3]
    assert numbers("all", 5, 1, 99) == [1, 5]
    assert numbers(TO_POST, 5, 1, 99) == [5]
    assert read_choices(show).counts == {"all": 5, TO_POST: 3, BACK_AGAIN: 2}


def test_a_parcel_in_which_every_order_is_cancelled_has_no_papers(show, parcels):
    cancel_pledge(pledge=parcels[3].parcel_copies.first().copy.pledge, by_backer=False, now=NOW)
    assert [parcel.number for parcel in choose_parcels(show, which="all")] == [1, 2, 3, 5]


def test_slips_and_labels_on_demand_are_the_pages_of_the_job(show, parcels):
    for kind in ("slips", "labels-a6"):
        made = make_chosen(kind, parcels[1:4], show=show)
        assert [codes_on(page) for page in pages_of(made)] == [[parcel.code] for parcel in parcels[1:4]]
    title = chosen_source("slips", [parcels[0], *parcels[2:]], show=show).context["title"]
    assert title == "Packing slips, parcels 1, 3-5"


@pytest.mark.parametrize("country", ["DE", "US"])
def test_the_picking_list_has_every_copy_twice_and_the_counts_on_top(show, parcels, country):
    show.country = country
    made = render_pdfs([chosen_source("picking", parcels, show=show)])[0]
    pages = pages_of(made)
    text = " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in pages)
    assert "9 prints for 5 parcels: 1-5." in text
    assert "Harbour light 9 1 9" in text
    for parcel in parcels:
        for row in parcel.parcel_copies.all():
            assert text.count(f"{row.copy.number}/20 ") == 2
            assert f"{row.copy.number}/20 parcel {parcel.number}" in text
        assert parcel.code in text.replace(" ", "")
    assert sorted(code for page in pages for code in codes_on(page)) == sorted(parcel.code for parcel in parcels)
    width, height = pages[0].get_size()
    assert (round(width), round(height)) == ((595, 842) if country == "DE" else (612, 792))
    for page in pages:
        assert all(left >= 14 and right <= page.get_size()[0] / MM - 14 for _, left, _, right, _ in type_on(page))


def test_the_picking_list_goes_on_over_pages_for_a_whole_edition():
    lines = [f"{number}/500\tparcel {number}" for number in range(1, 251)]
    blocks = _blocks(lines)
    assert [line for block in blocks for column in block["columns"] for line in column.split("\n")] == lines
    assert [block["height_mm"] for block in blocks] == [180, 180, 18]
