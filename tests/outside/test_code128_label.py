"""
Source: ISO/IEC 15417, Code 128: bars of whole modules and a quiet zone of 10 modules at either side, from memory.
    203 dots an inch: the usual print head of label printers, common practice, no source.
Edition: ISO/IEC 15417:2007.
What is checked: the address label as the site makes it, drawn at 203 dots an inch and thresholded to black and white as
    a thermal printer does, decodes to the parcel's own code; both label sizes, and on the packing slip too.
Tolerance: none, the text read is the text printed.
"""

import pypdfium2
import pytest
import zxingcpp

from campaign.models.codes import new_code
from campaign.pdf import render_pdfs
from fulfilment.models import Parcel
from fulfilment.packing import bar_width_mm
from fulfilment.packing.label import DOT_MM
from fulfilment.pdf import paper_sources

pytestmark = pytest.mark.outside
# Letters only, pairs of digits only (code set C), and mixed: the three widths a code can have.
CODES = ("ABCDEFGHJK", "2345678923", "K7Q2M9XW4T")


def drawn(paper, *, page, dpi):
    """A page as grey picture."""
    document = pypdfium2.PdfDocument(paper.pdf)
    return document[page].render(scale=dpi / 72, grayscale=True).to_pil()


@pytest.mark.parametrize("threshold", [96, 128, 160])
def test_codes_on_labels_and_slips_are_read_at_203_dpi(papers, threshold):
    for paper in papers:
        for page, code in enumerate(CODES):
            picture = drawn(paper, page=page, dpi=203).point(lambda shade: 255 if shade > threshold else 0)
            (found,) = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.Code128)
            assert found.text == code


@pytest.fixture
def papers(show):
    parcels = [
        Parcel.objects.create(
            show=show, number=number, code=code, name="Erika Beispiel", email="erika@example.org", mass_g=180,
            address={"country_code": "DE", "street_address": "Musterweg 12", "postal_code": "10115", "city": "Berlin"},
        )
        for number, code in enumerate(CODES, start=1)
    ]  # fmt: skip
    return render_pdfs([source.pdf for source in paper_sources(parcels, show=show)])


def test_every_bar_is_whole_printer_dots_wide():
    for modules in range(90, 200):
        dots = bar_width_mm(modules) / DOT_MM
        assert dots == pytest.approx(round(dots), abs=1e-9)
        assert round(dots) % modules == 0


def test_codes_of_parcels_are_letters_and_digits_only():
    assert all(new_code().isalnum() for _ in range(50))
