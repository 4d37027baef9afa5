import pytest
from django.db import IntegrityError

from campaign.models import Copy, Studio
from campaign.services.pledges import cancel_pledge
from fulfilment.errors import CopiesWithoutOwner
from fulfilment.models import Certificate, EditionFacts
from fulfilment.queries.certificates import certificate_lines, find_facts, list_valid
from fulfilment.queries.register import read_register
from fulfilment.services import register_checks
from fulfilment.services.certificates import issue_certificates, save_facts, void_certificates
from tests.builders import NOW, place
from tests.fulfilment.scene import LATER, edition_of, order, printed_show

pytestmark = pytest.mark.usefixtures("engine")

FULL = {
    "year_printed": 2026, "process": "Pigment print on cotton paper", "signing": "signed in pencil by the artist",
    "is_reproduction": "yes", "original_medium": "silver gelatin photograph", "master_by": "the artist",
    "printed_by": "the artist, in the studio", "is_approved": "yes", "is_posthumous": "no", "unnumbered": 0,
    "bon_a_tirer": 1, "printers_proofs": 2, "trial_proofs": 0, "cancellation_proofs": 0, "hors_commerce": 0,
    "master_after": "kept", "other_editions": "none", "text": "Keep it out of the sun.",
}  # fmt: skip


def issue(show, *numbers, now=NOW):
    return issue_certificates(edition=edition_of(show), numbers=numbers, now=now)


def words(show):
    edition = edition_of(show)
    return {
        line.name: line.words
        for line in certificate_lines(edition, facts=find_facts(edition), studio=Studio.objects.get())
    }


def test_every_copy_that_is_spoken_for_gets_one_certificate(show):
    order(show, copies=2)
    place(show)  # not paid
    assert issue(show) == 2
    assert issue(show) == 0
    assert [row.copy.number for row in list_valid(edition_of(show))] == [1, 2]


def test_a_copy_that_nobody_paid_for_gets_none_and_neither_do_the_others(show):
    order(show)
    with pytest.raises(CopiesWithoutOwner) as caught:
        issue(show, 1, 5)
    assert caught.value.numbers == (5,)
    assert not Certificate.objects.exists()


def test_number_that_goes_to_another_order_has_its_first_certificate_voided(show):
    first = order(show)
    issue(show)
    code = Certificate.objects.get().code
    cancel_pledge(pledge=first, by_backer=False, now=NOW)
    assert not Certificate.objects.get(code=code).is_valid
    order(show)
    assert issue(show, now=LATER) == 1
    assert Certificate.objects.get(code=code).voided_at == LATER
    assert Copy.objects.get(edition=edition_of(show), number=1).certificates.count() == 2
    assert register_checks.check_certificates().difference is None


def test_void_certificate_is_replaced_by_one_with_another_code(show):
    order(show)
    issue(show)
    assert void_certificates(edition=edition_of(show), numbers=[1], now=NOW) == 1
    assert void_certificates(edition=edition_of(show), numbers=[1], now=NOW) == 0
    assert issue(show) == 1
    assert len(set(Certificate.objects.values_list("code", flat=True))) == 2


def test_database_refuses_two_certificates_that_count(show):
    pledge = order(show)
    issue(show)
    with pytest.raises(IntegrityError):
        Certificate.objects.create(
            copy=Copy.objects.get(edition=edition_of(show), number=1), pledge=pledge, issued_at=NOW
        )


def test_what_is_empty_is_said_to_be_not_known(show):
    said = words(show)
    for name in ("Year printed", "Signed", "Master made by", "Posthumous", "Master afterwards", "Unnumbered copies"):
        assert said[name] == "not known"
    assert said["Total edition"].startswith("at least 20; the rest not known")


def test_total_is_numbered_copies_and_every_class_of_proof(show):
    edition = edition_of(show)
    edition.proofs = 2
    edition.save()
    save_facts(edition=edition, facts=FULL)
    save_facts(edition=edition, facts=FULL)
    assert EditionFacts.objects.count() == 1
    said = words(show)
    assert said["Total edition"] == "25, copies and proofs together"  # 20 + 2 A.P. + 1 B.A.T. + 2 P.P.
    assert said["Proofs outside the count"] == "A.P. 2, B.A.T. 1, P.P. 2, T.P. 0, C.P. 0"
    assert said["Reproduction of another medium"] == "yes, of: silver gelatin photograph"
    assert "not known" not in "".join(said.values())


def test_register_has_every_number_once_with_its_state(show):
    printed_show(show, orders=2)
    issue(show)
    found = read_register(edition_of(show))
    assert [line.number for line in found.lines] == list(range(1, 21))
    assert dict(found.counts) == {"printed": 2, "free": 18}
    assert (found.certified, found.missing) == (2, ())


def test_register_needs_few_queries_however_many_copies(show, django_assert_max_num_queries):
    printed_show(show, orders=4)
    edition = edition_of(show)
    with django_assert_max_num_queries(6):
        read_register(edition)
