"""The page of papers: which parcels, which paper, sheets of labels, for artist and helper."""

import pytest
from django.urls import reverse

from campaign.models import Job
from fulfilment.models import LabelStock, Parcel, SlipLine
from fulfilment.services import chosen_papers
from fulfilment.services.certificates import issue_certificates
from fulfilment.services.paper_kinds import make_papers
from tests.fulfilment.scene import LATER, edition_of, show_with_parcels

pytestmark = pytest.mark.usefixtures("engine")
MEASURES = {
    "page": "A4", "columns": "2", "rows": "4", "width_tenths": "99,1", "height_tenths": "67.7 mm", "left_tenths": "4.7",
    "top_tenths": "13.1", "gap_x_tenths": "2.5", "gap_y_tenths": "",
}  # fmt: skip


@pytest.fixture
def parcels(show):
    show_with_parcels(show)
    return list(Parcel.objects.all())


def url(name, show):
    return reverse(f"fulfilment:{name}", args=[show.code])


def text(answer):
    return answer.content.decode()


def ask(client, show, **wish):
    return client.get(url("papers_pdf", show), {"which": "all", "first_place": "1"} | wish)


def keep(client, show, **changes):
    return client.post(url("label_sheet", show), MEASURES | changes, follow=True)


def test_the_page_says_how_many_parcels_each_choice_means(ada_client, show, parcels):
    page = text(ada_client.get(url("papers", show)))
    assert "all (3)" in page
    assert "not posted (3)" in page
    assert "came back, damaged or lost (0)" in page
    assert "Say what sheets you have" in page
    page = text(ada_client.get(url("papers", show) + "?numbers=2"))
    assert 'value="2"' in page


def test_before_any_parcel_the_page_says_so(ada_client, show):
    assert "Parcels are numbered when printing ends." in text(ada_client.get(url("papers", show)))
    assert "there are parcels 1 to 0" not in text(ask(ada_client, show, paper="slips"))


def test_each_paper_opens_for_a_helper_too(kim, show, parcels):
    for paper in ("slips", "labels-4x6", "labels-a6", "picking"):
        answer = ask(kim, show, paper=paper, numbers="1, 3", first_place="no matter here")
        assert answer["Content-Type"] == "application/pdf", paper
        assert answer["Content-Disposition"] == f'inline; filename="{paper}-{show.code}-1_3.pdf"'
        assert "no-store" in answer["Cache-Control"]
        assert answer.content.startswith(b"%PDF")


@pytest.mark.parametrize(
    ("wish", "sentence"),
    [
        ({"paper": "slips", "numbers": "3-1"}, "runs backwards"),
        ({"paper": "slips", "numbers": "1-4"}, "there are parcels 1 to 3."),
        ({"paper": "slips", "which": "back"}, "There is no such parcel"),
        ({"paper": "sheets"}, "Say first what sheets of labels you have."),
        ({"paper": "poster"}, "poster"),
        ({"paper": "slips", "which": "some"}, "some"),
        ({"paper": "sheets", "first_place": "0"}, "from 1 to"),
        ({"paper": "sheets", "first_place": "9" * 40}, "too large"),
    ],
)
def test_a_wish_that_cannot_be_met_is_the_page_again_with_a_sentence(ada_client, show, parcels, wish, sentence):
    answer = ask(ada_client, show, **wish)
    assert answer["Content-Type"].startswith("text/html")
    assert sentence in text(answer)


def test_more_than_one_request_should_make_is_refused_with_the_number(ada_client, show, parcels, monkeypatch):
    monkeypatch.setitem(chosen_papers.MOST, "slips", 2)
    assert "That is 3 parcels; at most 2 at once here." in text(ask(ada_client, show, paper="slips"))


def test_the_sheet_is_said_once_by_measures_and_then_labels_are_printed_on_it(ada_client, show, parcels):
    assert "Kept: sheets of 2 × 4 labels of 99.1 × 67.7 mm." in text(keep(ada_client, show))
    assert ask(ada_client, show, paper="sheets", first_place="8")["Content-Type"] == "application/pdf"
    assert "A sheet has 8 labels; write 1 to 8." in text(ask(ada_client, show, paper="sheets", first_place="9"))
    page = text(ada_client.get(url("label_sheet", show)))
    assert 'value="99.1"' in page
    assert keep(ada_client, show).status_code == 200
    assert LabelStock.objects.count() == 1


def test_a_size_from_the_list_fills_in_the_rest(ada_client, show, parcels):
    blank = dict.fromkeys(MEASURES, "")
    assert "Kept: sheets of 2 × 5 labels of 101.6 × 50.8 mm." in text(keep(ada_client, show, **blank | {"preset": "5"}))
    assert LabelStock.objects.get().page == "letter"
    assert "Kept: sheets of 2 × 2 labels of 102 × 127 mm." in text(
        keep(
            ada_client, show, page="letter", rows="2", width_tenths="10.2cm", height_tenths="5 in", left_tenths="0",
            top_tenths="0",
        )
    )  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"columns": "3"}, "the page is 210 mm"),
        ({"rows": "40", "height_tenths": "40"}, "the page is 297 mm"),
        ({"width_tenths": "20"}, "60 × 36 mm is the least"),
        ({"width_tenths": "99.15"}, "one decimal at most"),
        ({"width_tenths": "4e9"}, "4e9"),
        ({"columns": "99999999999999999999"}, "invalid-feedback"),
        ({"preset": "99"}, "99"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused_at_its_field(ada_client, show, changes, sentence):
    answer = keep(ada_client, show, **changes)
    assert sentence in text(answer)
    assert not LabelStock.objects.exists()


def test_a_helper_does_not_say_what_sheets_there_are(kim, show, parcels):
    assert keep(kim, show).status_code == 404
    assert "The artist has not said yet" in text(kim.get(url("papers", show)))


def test_a_machine_without_the_engine_says_so_on_the_page(ada_client, show, parcels, engine):
    engine("missing")
    assert "need the pango library" in text(ask(ada_client, show, paper="slips"))


def test_certificates_are_made_in_the_background_and_tried_again_when_that_failed(ada_client, show, parcels, engine):
    address = reverse("fulfilment:certificate_papers", args=[show.code, "harbour"])
    assert "None of these copies has a certificate." in text(ada_client.post(address, follow=True))
    issue_certificates(edition=edition_of(show), numbers=(), now=LATER)
    page = text(ada_client.post(address, follow=True))
    assert "Certificates of Harbour light" in page
    assert "0 of 3 done" in page
    assert ada_client.post(address).url == ada_client.post(address).url, "a second click is the same job"
    job = Job.objects.get(kind="certificates")
    engine("missing")
    make_papers(job_pk=job.pk, clock=lambda: LATER.replace(year=2100))
    job_page = reverse("campaign:job", args=[show.code, job.code])
    assert "Try again" in text(ada_client.get(job_page))
    ada_client.post(reverse("fulfilment:papers_again", args=[show.code, job.code]))
    engine("plain")
    make_papers(job_pk=job.pk, clock=lambda: LATER.replace(year=2101))
    page = text(ada_client.get(job_page))
    assert "3 of 3 done" in page
    assert "Certificates of Harbour light, copies 1-3" in page
    assert "To the certificates" in page
    certificates = text(ada_client.get(reverse("fulfilment:certificate_text", args=[show.code, "harbour"])))
    assert "Make 3 certificates in the background" in certificates
    assert job_page in certificates


def test_the_artist_writes_a_line_of_her_own_for_each_slip(ada_client, show, parcels):
    def say(words):
        return ada_client.post(url("slip_line", show), {"words": words}, follow=True)

    assert "Write a line of your own" in text(ada_client.get(url("papers", show)))
    page = text(say("  The <kettle> is on.  "))
    assert "Kept. Slips of parcels that are to be packed say it." in page
    assert "Each slip says: “The &lt;kettle&gt; is on.”" in page
    assert "at most 200" in text(say("a" * 201))
    assert SlipLine.objects.get().words == "The <kettle> is on."
    assert 'value="The &lt;kettle&gt; is on."' in text(ada_client.get(url("slip_line", show)))
    say("")
    assert not SlipLine.objects.exists()


def test_a_helper_is_not_offered_the_line(kim, show, parcels):
    assert url("slip_line", show) not in text(kim.get(url("papers", show)))


def test_the_line_can_be_written_before_there_is_a_parcel(ada_client, show):
    assert url("slip_line", show) in text(ada_client.get(url("papers", show)))
    assert url("slip_line", show) in text(ada_client.get(url("send", show)))
