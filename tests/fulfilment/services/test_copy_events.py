import uuid
from importlib import import_module
from types import SimpleNamespace

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, transaction

from campaign.models import Copy
from campaign.services.pledges import cancel_pledge
from fulfilment.errors import CopiesInClosedParcels, CopiesNotOut, CopiesNotSpokenFor
from fulfilment.models import CopyEvent, Impression, Parcel, ParcelCopy
from fulfilment.services import register_checks
from fulfilment.services.copy_events import sign_copies, spoil_copies, unsign_copies
from fulfilment.services.parcels import mark_posted
from fulfilment.services.production import tick_printed, untick_printed
from tests.builders import NOW
from tests.fulfilment.scene import LATER, edition_of, order, printed_show, show_with_parcels

pytestmark = pytest.mark.usefixtures("engine")


def spoil(show, *numbers, key=None, note=""):
    key = key or uuid.uuid4()
    return spoil_copies(edition=edition_of(show), numbers=numbers, note=note, by="ada", request_key=key, now=LATER)


def sign(show, *numbers):
    return sign_copies(edition=edition_of(show), numbers=numbers, by="ada", now=LATER)


def events(show):
    rows = CopyEvent.objects.filter(copy__edition__show=show).order_by("pk")
    return list(rows.values_list("copy__number", "kind"))


def agrees():
    return [check().difference for check in register_checks.CHECKS] == [None, None]


def test_marks_of_printing_and_taking_back_are_events(show):
    order(show, copies=2)
    edition = edition_of(show)
    tick_printed(edition=edition, numbers=[1, 2], by="ada", now=NOW)
    tick_printed(edition=edition, numbers=[1, 2], by="ada", now=LATER)
    untick_printed(edition=edition, numbers=[2], by="ada", now=LATER)
    assert events(show) == [(1, "printed"), (2, "printed"), (2, "not_printed")]
    assert set(CopyEvent.objects.values_list("by", flat=True)) == {"ada"}
    assert agrees()


def test_spoiled_copy_is_to_be_printed_again_with_the_same_number(show):
    printed_show(show, orders=3)
    assert spoil(show, 2, note="scratch") == 1
    copy = Copy.objects.get(edition=edition_of(show), number=2)
    assert (copy.is_printed, copy.state) == (False, Copy.State.SPOKEN_FOR)
    assert not Impression.objects.filter(copy=copy).exists()
    assert agrees()
    tick_printed(edition=edition_of(show), numbers=[2], now=LATER)
    assert events(show)[-2:] == [(2, "spoiled"), (2, "printed")]
    assert CopyEvent.objects.get(kind="spoiled").note == "scratch"
    assert Copy.objects.filter(edition=edition_of(show), number=2).count() == 1
    assert agrees()


def test_same_spoiling_sent_twice_is_one(show):
    printed_show(show, orders=2)
    key = uuid.uuid4()
    assert spoil(show, 1, 2, key=key) == 2
    tick_printed(edition=edition_of(show), numbers=[1, 2], now=LATER)
    assert spoil(show, 1, 2, key=key) == 0
    assert Impression.objects.count() == 2


def test_sheet_is_spoiled_twice_before_it_is_ever_marked_as_printed(show):
    order(show)
    assert spoil(show, 1) == 1
    assert spoil(show, 1) == 1
    assert events(show) == [(1, "spoiled"), (1, "spoiled")]
    assert agrees()


def test_a_free_copy_cannot_be_spoiled_and_nothing_else_is(show):
    printed_show(show, orders=1)
    with pytest.raises(CopiesNotSpokenFor) as caught:
        spoil(show, 1, 2)
    assert caught.value.numbers == (2,)
    assert Impression.objects.count() == 1


def test_printed_copy_of_a_cancelled_order_can_be_spoiled(show):
    pledge = order(show)
    tick_printed(edition=edition_of(show), numbers=[1], now=NOW)
    cancel_pledge(pledge=pledge, by_backer=False, now=NOW)
    assert spoil(show, 1) == 1
    assert not Copy.objects.get(edition=edition_of(show), number=1).is_printed


def test_copy_in_an_open_parcel_is_spoiled_and_stays_numbered_into_it(show):
    show_with_parcels(show)
    parcel = ParcelCopy.objects.get(copy__number=2).parcel
    assert spoil(show, 2) == 1
    assert ParcelCopy.objects.get(copy__number=2).parcel == parcel
    tick_printed(edition=edition_of(show), numbers=[2], now=LATER)
    assert agrees()


def test_copy_in_a_posted_or_packed_parcel_is_not_spoiled_and_nothing_else_is(show):
    show_with_parcels(show)
    code = ParcelCopy.objects.get(copy__number=1).parcel.code
    mark_posted(show=show, tracking={code: ""}, now=LATER)
    Parcel.objects.filter(parcel_copies__copy__number=2).update(state=Parcel.State.PACKED, packed_at=LATER)
    with pytest.raises(CopiesInClosedParcels) as caught:
        spoil(show, 1, 2, 3)
    assert caught.value.numbers == (1, 2)
    assert Impression.objects.count() == 3


def test_copies_are_signed_once_and_only_when_printed(show):
    printed_show(show, orders=2)
    assert sign(show, 1, 2) == 2
    assert sign(show, 1, 2) == 0
    with pytest.raises(CopiesNotOut) as caught:
        sign(show, 1, 9)
    assert caught.value.numbers == (9,)
    assert unsign_copies(edition=edition_of(show), numbers=[1], by="ada", now=LATER) == 1
    assert unsign_copies(edition=edition_of(show), numbers=[1], by="ada", now=LATER) == 0


def test_spoiled_copy_is_signed_again_after_it_is_printed_again(show):
    printed_show(show, orders=1)
    sign(show, 1)
    spoil(show, 1)
    with pytest.raises(CopiesNotOut):
        sign(show, 1)
    tick_printed(edition=edition_of(show), numbers=[1], now=LATER)
    assert sign(show, 1) == 1


@pytest.mark.parametrize(
    "statement", ["UPDATE fulfilment_copyevent SET note = 'x'", "DELETE FROM fulfilment_copyevent"]
)
def test_events_of_copies_cannot_be_changed_or_deleted(show, statement):
    printed_show(show, orders=1)
    with pytest.raises(IntegrityError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)


def test_verify_finds_a_print_that_no_event_tells_of(show):
    printed_show(show, orders=2)
    Impression.objects.filter(copy__number=2).delete()
    assert (
        "copy 2 of harbour is printed by its events and not by its mark"
        in register_checks.check_copy_events().difference
    )


def test_what_was_printed_before_the_register_gets_its_event_on_updating(show):
    migration = import_module("fulfilment.migrations.0007_copy_events_are_append_only")
    printed_show(show, orders=3)
    with connection.cursor() as cursor:
        editor = SimpleNamespace(connection=connection, execute=cursor.execute)
        migration.unguard(apps, editor)
        CopyEvent.objects.all().delete()
        assert not agrees()
        migration.guard(apps, editor)
    assert events(show) == [(1, "printed"), (2, "printed"), (3, "printed")]
    assert set(CopyEvent.objects.values_list("happened_at", flat=True)) == {LATER}
    assert agrees()
    with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
        CopyEvent.objects.all().update(note="x")
