"""The artist's own line: kept, and slips that do not say it are made again."""

import io

import pdfplumber
import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from campaign.models import Job, Paper
from campaign.pdf import render_pdfs
from fulfilment.models import Parcel, SlipLine
from fulfilment.pdf import paper_sources
from fulfilment.queries.slip_line import read_slip_line
from fulfilment.services.slip_line import save_slip_line
from tests.fulfilment.scene import LATER, end, printed_show, show_with_parcels, work

pytestmark = pytest.mark.usefixtures("engine")


def test_slips_that_do_not_say_it_are_made_again_once(show):
    job = show_with_parcels(show)
    before = set(Paper.objects.values_list("pk", flat=True))
    save_slip_line(show=show, words="Come by.")
    job.refresh_from_db()
    assert (job.state, Paper.objects.count()) == (Job.State.WAITING, 0)
    assert work(job) == "done"
    made = set(Paper.objects.values_list("pk", flat=True))
    assert made and not made & before
    save_slip_line(show=show, words="Come by.")
    assert set(Paper.objects.values_list("pk", flat=True)) == made, "the same words change nothing"


def test_what_is_packed_keeps_its_papers(show):
    show_with_parcels(show)
    Parcel.objects.update(state=Parcel.State.PACKED, packed_at=LATER)
    save_slip_line(show=show, words="Come by.")
    assert Paper.objects.count() == 3


def test_a_worker_at_the_papers_begins_anew(show):
    job = end(printed_show(show))
    Job.objects.filter(pk=job.pk).update(state=Job.State.RUNNING, lease_until_at=LATER)
    save_slip_line(show=show, words="Come by.")
    job.refresh_from_db()
    assert job.lease_until_at is None


def test_nothing_takes_it_off_and_no_row_says_nothing(show):
    save_slip_line(show=show, words="Come by.")
    assert read_slip_line(show) == "Come by."
    save_slip_line(show=show, words="")
    assert read_slip_line(show) == ""
    with pytest.raises((IntegrityError, ValidationError)):
        SlipLine.objects.create(show=show, words="")


def test_it_stands_on_the_slip_and_on_no_label(show, monkeypatch):
    show_with_parcels(show, orders=1)
    save_slip_line(show=show, words="Come & see <b>the others</b>.")
    parcels = list(Parcel.objects.prefetch_related("parcel_copies__copy__edition", "parcel_copies__copy__pledge"))
    monkeypatch.delenv("PYTHONPATH")
    slips, labels = render_pdfs([source.pdf for source in paper_sources(parcels, show=show)[:2]])
    said = []
    for paper in (slips, labels):
        with pdfplumber.open(io.BytesIO(paper.pdf)) as document:
            said.append(" ".join(document.pages[0].extract_text().split()))
    assert "Come & see <b>the others</b>." in said[0]
    assert "Come &" not in said[1]
