"""Certificates and register as the real engine makes them: codes read back, everything on its page."""

import io

import pypdfium2 as pdfium
import pytest
import zxingcpp
from django.conf import settings

from fulfilment.models import EditionFacts
from fulfilment.queries.certificates import list_valid
from fulfilment.services.certificate_papers import make_certificates, make_register
from fulfilment.services.certificates import issue_certificates, save_facts
from tests.builders import NOW
from tests.fulfilment.scene import edition_of, order, printed_show
from tests.fulfilment.services.test_certificates import FULL

pytestmark = pytest.mark.django_db


def issue(show):
    return issue_certificates(edition=edition_of(show), numbers=(), now=NOW)


def pages_of(pdf):
    return list(pdfium.PdfDocument(io.BytesIO(pdf)))


def codes_on(page):
    picture = page.render(scale=203 / 72).to_pil().convert("L")
    return {str(code.format).rpartition(".")[2]: code.text for code in zxingcpp.read_barcodes(picture)}


@pytest.mark.parametrize("country", ["DE", "US"])
def test_codes_on_each_page_read_back_from_a_label_printers_picture(show, country):
    show.country = country
    show.save()
    order(show, copies=3)
    issue(show)
    edition = edition_of(show)
    save_facts(edition=edition, facts=FULL)
    valid = list_valid(edition)
    made = make_certificates(valid, edition=edition)
    assert made.pages == 3
    for page, row in zip(pages_of(made.pdf), valid, strict=True):
        assert sorted(codes_on(page).values()) == sorted([row.code, f"{settings.PUBLIC_URL}/copy/{row.code}/"])
        text = page.get_textpage().get_text_range()
        assert f"{row.copy.number}/20" in text
        assert "Keep it out of the sun." in text
    assert make_certificates(valid, edition=edition).pdf == made.pdf
    width, height = pages_of(made.pdf)[0].get_size()
    assert (round(width), round(height)) == ((420, 595) if country == "DE" else (396, 612))


def test_longest_facts_stay_on_one_page(show):
    order(show)
    issue(show)
    edition = edition_of(show)
    longest = {
        name: ("Word " * 200)[: field.max_length].strip()
        for name in ("process", "signing", "original_medium", "master_by", "printed_by", "other_editions", "text")
        for field in [EditionFacts._meta.get_field(name)]
    }
    save_facts(edition=edition, facts=FULL | longest)
    edition.title, edition.paper = "W" * 60 + " " + "w" * 99, "Cotton rag " * 14
    edition.save()
    (row,) = list_valid(edition)
    assert make_certificates([row], edition=edition).pages == 1


def test_register_as_a_paper_names_every_number(show):
    printed_show(show, orders=2)
    made = make_register(edition=edition_of(show))
    text = "".join(page.get_textpage().get_text_range() for page in pages_of(made.pdf))
    assert "Register of the edition" in text
    assert "18 free" in text
