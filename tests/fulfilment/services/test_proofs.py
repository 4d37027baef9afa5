"""Artist's proofs in the register: events of their own, no copy's mark, no money, no parcel."""

import uuid

import pytest

from campaign.errors import NotReady
from campaign.models import CashEntry, Copy
from campaign.queries.money import read_money
from campaign.services.editions import EditionWish, remove_edition, save_edition
from fulfilment.errors import CopiesNotOut
from fulfilment.models import CopyEvent, Impression
from fulfilment.queries.register import read_register
from fulfilment.services import register_checks
from fulfilment.services.proofs import mark_proofs
from tests.builders import NOW
from tests.fulfilment.scene import edition_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def edition(show):
    edition = edition_of(show)
    edition.proofs = 3
    edition.save()
    Copy.objects.bulk_create(Copy(edition=edition, number=n, state=Copy.State.PROOF) for n in (1, 2, 3))
    return edition


def draft_of(show):
    """Not published, so that its only print may go."""
    show.state = "draft"
    show.save()
    return show


def mark(edition, act, *numbers, key=None, note=""):
    return mark_proofs(edition=edition, numbers=numbers, act=act, by="ada", note=note, request_key=key, now=NOW)


def states(edition):
    return [line.state for line in read_register(edition).proofs]


def agrees():
    return [check().difference for check in register_checks.CHECKS] == [None, None]


def test_proofs_are_printed_signed_and_spoiled_apart_from_the_numbered_copies(edition):
    assert [mark(edition, "printed", 1, 2), mark(edition, "printed", 1, 2)] == [2, 0]
    assert [mark(edition, "signed", 1), mark(edition, "signed", 1)] == [1, 0]
    assert states(edition) == ["signed", "printed", "to print"]
    key = uuid.uuid4()
    assert [mark(edition, "spoiled", 1, key=key, note="dent") for _ in range(2)] == [1, 0]
    assert states(edition) == ["to print", "printed", "to print"]
    assert [one.note for one in read_register(edition).proofs[0].spoilings] == ["dent"]
    assert not Impression.objects.exists()
    assert not Copy.objects.filter(is_printed=True).exists()
    assert agrees()


def test_marks_are_taken_back(edition):
    mark(edition, "printed", 1)
    mark(edition, "signed", 1)
    assert [mark(edition, "not_signed", 1), mark(edition, "not_signed", 1)] == [1, 0]
    assert [mark(edition, "not_printed", 1), mark(edition, "not_printed", 1)] == [1, 0]
    assert states(edition)[0] == "to print"


def test_what_has_not_come_out_is_not_signed_and_what_there_is_not_is_not_marked(edition):
    mark(edition, "printed", 1)
    for numbers in ((1, 2), (4,)):
        with pytest.raises(CopiesNotOut):
            mark(edition, "signed", *numbers)
    assert CopyEvent.objects.count() == 1


def test_a_proof_costs_no_wall_money(edition, show):
    before = read_money(show)
    mark(edition, "printed", 1, 2, 3)
    assert read_money(show) == before
    assert not CashEntry.objects.exists()


def test_what_the_register_tells_of_stays(edition, show):
    mark(edition, "printed", 3)
    keep = ("title", "width_mm", "height_mm", "size", "price_minor", "limit_per_person", "make_cost_minor", "mass_g")
    wish = EditionWish(**{name: getattr(edition, name) for name in keep}, proofs=2)
    with pytest.raises(NotReady, match="printed, signed or spoiled once"):
        save_edition(show=show, edition=edition, wish=wish)
    with pytest.raises(NotReady, match="printed, signed or spoiled once"):
        remove_edition(show=draft_of(show), edition=edition)
    assert read_register(edition).proofs[2].state == "printed"


def test_a_mark_of_a_numbered_copy_on_a_proof_is_found(edition):
    proof = Copy.objects.get(state=Copy.State.PROOF, number=1)
    Impression.objects.create(copy=proof, printed_at=NOW)
    assert register_checks.check_copy_events().difference == "proof 1 of harbour has the mark of a numbered copy"
