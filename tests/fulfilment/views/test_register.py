import pytest
from django.urls import reverse

from campaign.models import Copy
from fulfilment.models import Certificate, CopyEvent, Parcel
from fulfilment.services.certificates import issue_certificates, void_certificates
from fulfilment.services.parcels import mark_posted
from tests.builders import NOW
from tests.fulfilment.scene import LATER, edition_of, order, printed_show, show_with_parcels

pytestmark = pytest.mark.usefixtures("engine")


def url(name, show):
    return reverse(f"fulfilment:{name}", args=[show.code, "harbour"])


def text(answer):
    return answer.content.decode()


def test_signed_and_spoiled_are_marked_in_the_print_room(ada_client, show):
    printed_show(show, orders=3)
    answer = ada_client.post(url("mark_copies", show), {"harbour-numbers": "1-2", "signed": "1"}, follow=True)
    assert "2 copies marked as signed." in text(answer)
    data = {"harbour-ticked": ["2"], "harbour-note": "dent", "spoiled": "1"}
    data["harbour-request_key"] = "0f8fad5b-d9cb-469f-a165-70867728950e"
    assert "1 copy spoiled, to be printed again with the same number." in text(
        ada_client.post(url("mark_copies", show), data, follow=True)
    )
    assert "0 copies spoiled" in text(ada_client.post(url("mark_copies", show), data, follow=True))
    page = text(ada_client.get(reverse("fulfilment:print", args=[show.code])))
    assert "3 spoken for, 2 printed, 1 signed, 1 sheet spoiled" in page
    assert "to print again" in page
    assert CopyEvent.objects.filter(kind="spoiled", note="dent", by="ada").count() == 1


def test_room_says_when_the_rest_is_done_at_the_pace_so_far(ada_client, show):
    order(show, copies=2)
    order(show, copies=2)
    ada_client.post(url("mark_copies", show), {"harbour-numbers": "1-2"})
    page = text(ada_client.get(reverse("fulfilment:print", args=[show.code])))
    assert "2 left to print." in page
    assert "At that pace, over one day so far, the rest is done on" in page


def test_the_register_counts_parcels_together_posted_or_not(ada_client, show):
    show_with_parcels(show, orders=4)
    codes = list(Parcel.objects.order_by("number").values_list("code", flat=True))
    mark_posted(show=show, tracking=dict.fromkeys(codes[:3], ""), now=LATER)
    page = text(ada_client.get(url("register", show)))
    assert '<p class="standing">3 posted; 1 in a parcel; 16 free.</p>' in page
    assert "<td>posted in parcel 2</td>" in page


def test_register_shows_owners_to_the_artist_alone(client, ada, kim_user, show):
    client.force_login(ada)
    order(show, name="Erika Beispiel")
    assert "Erika Beispiel" in text(client.get(url("register", show)))
    client.force_login(kim_user)
    page = text(client.get(url("register", show)))
    assert "Every number from 1 to 20" in page
    assert "Erika Beispiel" not in page
    assert "€" not in page


def test_certificates_are_issued_voided_and_opened(ada_client, show):
    order(show, copies=2)
    page = text(ada_client.post(url("certificates", show), {"numbers": ""}, follow=True))
    assert "2 certificates issued." in page
    answer = ada_client.get(url("certificates_pdf", show), {"numbers": "1-2"})
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")
    page = text(ada_client.post(url("certificates", show), {"numbers": "2", "void": "1"}, follow=True))
    assert "1 certificate void now." in page
    assert "Write which ones are to be void" in text(ada_client.post(url("certificates", show), {"void": "1"}))
    assert "Choose 1 to 50 copies" in text(ada_client.get(url("certificates_pdf", show), {"numbers": "9"}))


def test_what_is_known_is_kept_and_shown_as_the_certificate_says_it(ada_client, show):
    page = text(
        ada_client.post(url("certificate_text", show), {"signing": "in pencil", "year_printed": "2026"}, follow=True)
    )
    assert "in pencil" in page
    assert "Certificates made from now on say this." in page
    assert "<em>not known</em>" in page
    assert "not legal advice" in page


def test_year_that_is_none_stands_at_its_field(ada_client, show):
    assert "1400" in text(ada_client.post(url("certificate_text", show), {"year_printed": "12"}))


@pytest.mark.parametrize("is_void", [False, True])
def test_code_leads_to_a_public_page_without_any_name_but_the_artists(client, show, is_void):
    pledge = order(show, name="Erika Beispiel")
    issue_certificates(edition=edition_of(show), numbers=[1], now=NOW)
    if is_void:
        void_certificates(edition=edition_of(show), numbers=[1], now=LATER)
    code = Certificate.objects.get().code
    answer = client.get(reverse("fulfilment:copy", args=[code.lower()]))
    page = text(answer)
    assert ("This certificate is void." if is_void else "This certificate is valid.") in page
    assert "1/20" in page
    for personal in ("Erika", pledge.email, pledge.code, "Musterweg"):
        assert personal not in page
    assert answer["Cache-Control"].startswith("public, ")
    assert not answer.cookies


def test_unknown_code_is_no_page(client, show):
    assert client.get("/copy/AAAAAAAAAA/").status_code == 404


def add_proofs(show, *, count):
    edition = edition_of(show)
    edition.proofs = count
    edition.save()
    Copy.objects.bulk_create(Copy(edition=edition, number=n + 1, state="proof") for n in range(count))


def test_proofs_are_marked_on_the_register_by_helpers_too(client, kim_user, show):
    add_proofs(show, count=2)
    client.force_login(kim_user)
    assert "A.P. 1/2" in text(client.get(url("register", show)))
    for act, words in (
        ("printed", "2 proofs marked as printed"), ("signed", "2 proofs marked as signed"),
        ("not_signed", "2 proofs back to be signed"), ("spoiled", "2 proofs spoiled"),
    ):  # fmt: skip
        answer = client.post(url("mark_proofs", show), {"harbour-proofs-numbers": "1-2", act: "1"}, follow=True)
        assert words in text(answer)
    assert CopyEvent.objects.filter(by="kim").count() == 8


@pytest.mark.parametrize(("typed", "words"), [("3", "2"), ("", "Tick the copies"), ("x", "numbers")])
def test_proofs_that_there_are_not_are_refused_in_words(ada_client, show, typed, words):
    add_proofs(show, count=2)
    answer = ada_client.post(url("mark_proofs", show), {"harbour-proofs-numbers": typed, "printed": "1"})
    assert answer.status_code == 200 and words in text(answer)
    assert not CopyEvent.objects.exists()


def test_a_proof_that_is_not_out_is_not_signed(ada_client, show):
    add_proofs(show, count=2)
    answer = ada_client.post(url("mark_proofs", show), {"harbour-proofs-ticked": ["1"], "signed": "1"})
    assert answer.status_code == 200 and "1" in text(answer)
    assert not CopyEvent.objects.exists()
