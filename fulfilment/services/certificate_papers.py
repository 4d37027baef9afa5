"""Certificates and the register as papers: made when they are asked for, kept nowhere."""

from collections.abc import Sequence
from typing import Any

from campaign.access import get_studio
from campaign.mail import public_link
from campaign.models import Edition
from campaign.pdf import PdfSource, RenderedPdf, data_uri, render_pdfs
from campaign.queries.paper_size import page_size_of
from campaign.symbols import code128_png, qr_png
from fulfilment.models import Certificate
from fulfilment.packing import bar_width_mm
from fulfilment.queries.certificates import certificate_lines, find_facts
from fulfilment.queries.register import read_register

MOST = 50  # certificates a document: some seconds of a web process
HALF = {"A4": "A5", "letter": "5.5in 8.5in"}
QR_MODULE_MM = 0.5
# Characters of all lines together, beyond which they are set smaller; one page holds whatever can be typed.
SIZES = ((1000, "short"), (1700, "long"))


def make_certificates(certificates: Sequence[Certificate], *, edition: Edition) -> RenderedPdf:
    """
    A page each, on half a sheet of the show's paper.

    Writes: nothing.
    Raises: TemporaryFailure, permanent where the machine lacks the engine.
    Repeat: the same rows give the same bytes.
    """
    return render_pdfs([certificates_source(certificates, edition=edition)])[0]


def certificates_source(certificates: Sequence[Certificate], *, edition: Edition) -> PdfSource:
    """What the certificates are made from."""
    studio, facts = get_studio(), find_facts(edition)
    lines = certificate_lines(edition, facts=facts, studio=studio)
    length = sum(len(line.name) + len(line.words) for line in lines) + len(facts.text)
    context = {
        "title": f"Certificates, {edition.title}",
        "show": edition.show,
        "edition": edition,
        "studio": studio,
        "lines": lines,
        "text": facts.text,
        "items": [_face(certificate) for certificate in certificates],
        "size_class": next((name for most, name in SIZES if length <= most), "longest"),
        "page_size": HALF[page_size_of(edition.show)],
        "page_margin": "11mm 12mm 10mm",
    }
    codes = "-".join(certificate.code for certificate in certificates)
    return PdfSource("pdf/certificates.html", context, f"{edition.show.code}:{edition.code}:certificates:{codes}")


def _face(certificate: Certificate) -> dict[str, Any]:
    address = public_link("fulfilment:copy", certificate.code)
    bars, qr = code128_png(certificate.code), qr_png(address)
    return {
        "certificate": certificate,
        "copy": certificate.copy,
        "address": address,
        "bars_src": data_uri(bars.png, media_type="image/png"),
        "bars_mm": f"{bar_width_mm(bars.width_modules):.3f}",
        "qr_src": data_uri(qr.png, media_type="image/png"),
        "qr_mm": f"{qr.width_modules * QR_MODULE_MM:.2f}",
    }


def make_register(*, edition: Edition) -> RenderedPdf:
    """
    The register of an edition for the artist's archive.

    Writes: nothing.
    Raises: TemporaryFailure, permanent where the machine lacks the engine.
    Repeat: the same rows give the same bytes.
    """
    return render_pdfs([register_source(edition)])[0]


def register_source(edition: Edition) -> PdfSource:
    """What the register is made from."""
    context = {
        "title": f"Register of the edition, {edition.title}",
        "show": edition.show,
        "edition": edition,
        "studio": get_studio(),
        "register": read_register(edition),
        "page_size": page_size_of(edition.show),
        "page_margin": "15mm 16mm 16mm",
    }
    return PdfSource("pdf/register.html", context, f"{edition.show.code}:{edition.code}:register")
