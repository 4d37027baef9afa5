"""Certificates and the register as papers: a few made when they are asked for and kept nowhere, many by a job."""

from collections.abc import Callable, Collection, Sequence
from datetime import datetime
from functools import partial
from typing import Any

from django.db import transaction

from campaign.access import get_studio
from campaign.mail import public_link
from campaign.models import Edition, Job, Paper
from campaign.pdf import PdfSource, RenderedPdf, data_uri, render_pdfs
from campaign.queries.paper_size import page_size_of
from campaign.symbols import code128_png, qr_png
from fulfilment.errors import NoCertificates
from fulfilment.models import Certificate, CertificateBatch
from fulfilment.packing import bar_width_mm, write_numbers
from fulfilment.pdf import QR_MODULE_MM, PaperSource
from fulfilment.queries.certificates import certificate_lines, find_facts, list_valid
from fulfilment.queries.register import read_register
from fulfilment.services.paper_jobs import CERTIFICATES, Chunk, PaperKind, run_job
from fulfilment.services.production import UNFINISHED

MOST = 50  # certificates made at once: some seconds of a web process
CHUNK = 25  # certificates a document of a job
HALF = {"A4": "A5", "letter": "5.5in 8.5in"}
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


@transaction.atomic(durable=True)
def begin_certificates(*, edition: Edition, numbers: Collection[int], now: datetime) -> Job:
    """
    A job makes the papers of all certificates of an edition that hold, or of these numbers.

    Papers of earlier jobs that these replace, all their numbers being among them, are dropped.
    Writes: Job, CertificateBatch; deletes Paper.
    Raises: NoCertificates if none of them holds.
    Repeat: the job that is under way already.
    """
    locked = Edition.objects.select_for_update(no_key=True, of=("self",)).select_related("show").get(pk=edition.pk)
    known = CertificateBatch.objects.filter(edition=locked, job__state__in=UNFINISHED).select_related("job").first()
    if known:
        return known.job
    valid = [certificate.copy.number for certificate in list_valid(locked, numbers=numbers)]
    if not valid:
        raise NoCertificates()
    earlier = list(CertificateBatch.objects.filter(edition=locked))
    replaced = [batch.job_id for batch in earlier if set(batch.numbers) <= {*valid}]
    Paper.objects.filter(job__in=replaced).delete()
    job = Job.objects.create(
        show=locked.show, kind=CERTIFICATES, key=f"certificates:{locked.pk}:{len(earlier) + 1}",
        title=f"Certificates of {locked.title}"[:160], total=len(valid), starts_at=now, created_at=now,
    )  # fmt: skip
    CertificateBatch.objects.create(job=job, edition=locked, numbers=valid)
    return job


def make_certificate_papers(*, job_pk: int, clock: Callable[[], datetime]) -> str:
    """
    Take the job if it is free and do its work, or as much of it as one run should.

    Writes: Paper, Job; one transaction for each chunk.
    Repeat: papers that are there stay as they are. Returns one word on what became of it.
    """
    return run_job(CERTIFICATE_PAPERS, job_pk=job_pk, clock=clock)


def _begin(job: Job, now: datetime) -> None:
    """Everything is there: the certificates were issued before."""


def _list_chunks(job: Job) -> list[Chunk]:
    """So many numbers a document; a document in which no certificate holds any more is none."""
    batch = CertificateBatch.objects.select_related("edition__show").get(job=job)
    holding = {certificate.copy.number for certificate in list_valid(batch.edition, numbers=batch.numbers)}
    chunks = []
    for start in range(0, len(batch.numbers), CHUNK):
        numbers = batch.numbers[start : start + CHUNK]
        if not holding.isdisjoint(numbers):
            name = f"certificates-{batch.edition.code}-{numbers[0]:03}-{numbers[-1]:03}.pdf"
            sources = partial(_chunk_sources, numbers, name=name, edition=batch.edition)
            chunks.append(Chunk((name,), start + len(numbers), sources))
    return chunks


def _chunk_sources(numbers: Sequence[int], *, name: str, edition: Edition) -> list[PaperSource]:
    """Asked when the pages are made, so that nothing void is printed."""
    valid = list_valid(edition, numbers=numbers)
    span = write_numbers(certificate.copy.number for certificate in valid)
    copies = f"cop{'y' if len(valid) == 1 else 'ies'} {span}"
    title = f"Certificates of {edition.title[:60]}, {copies}"[:160]
    return [PaperSource(name, title, certificates_source(valid, edition=edition))] if valid else []


CERTIFICATE_PAPERS = PaperKind(CERTIFICATES, begin=_begin, list_chunks=_list_chunks)


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
