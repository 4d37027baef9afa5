"""`verify` on printing and posting: agrees after a whole run, and finds each way of spoiling the rows."""

import contextlib
import uuid
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from campaign.models import Copy, OutboxMessage
from campaign.services.pledges import cancel_pledge
from fulfilment.models import Mailer, Parcel, ParcelCopy, ParcelEvent
from fulfilment.services.packing_station import pack_parcel
from fulfilment.services.parcels import mark_posted, send_posted_notices
from tests.builders import make_draft
from tests.fulfilment.packed import FLAT
from tests.fulfilment.scene import LATER, show_with_parcels

pytestmark = pytest.mark.django_db


@pytest.fixture
def posted(show, engine):
    show_with_parcels(show)
    for code, key in show.parcels.values_list("code", "parcel_copies__copy__number"):
        edition = show.editions.get().code
        pack_parcel(show=show, code=code, confirmed=[f"{edition}/{key}"], request_key=uuid.uuid4(), by="kim", now=LATER)
    tracking = dict.fromkeys(show.parcels.values_list("code", flat=True), "")
    mark_posted(show=show, tracking=tracking, now=LATER)
    send_posted_notices(show=show, now=LATER)
    return show


def last_line():
    out = StringIO()
    with contextlib.suppress(CommandError):
        call_command("verify", stdout=out)
    return out.getvalue().splitlines()[-1]


def test_all_agrees_after_a_whole_run(posted):
    assert last_line() == "All figures agree with their rows."


def test_order_cancelled_after_its_parcel_left_is_no_difference(posted):
    pledge = Copy.objects.filter(is_packed=True).first().pledge
    cancel_pledge(pledge=pledge, by_backer=False, now=LATER)
    assert last_line() == "All figures agree with their rows."


def _skip_a_number(show):
    Parcel.objects.filter(number=3).update(number=4)


def _empty_a_parcel(show):
    row = ParcelCopy.objects.first()
    Copy.objects.filter(pk=row.copy_id).update(is_packed=False)
    row.delete()


def _overrate_a_parcel(show):
    Parcel.objects.filter(number=2).update(value_minor=99_900)


def _take_another_shows_mailer(show):
    other = make_draft(code="other")
    Parcel.objects.filter(number=1).update(mailer=Mailer.objects.create(show=other, **FLAT))


def _offer_a_packed_copy(show):
    Copy.objects.filter(pk=ParcelCopy.objects.first().copy_id).update(is_packed=False)


def _forget_a_notice(show):
    notice = OutboxMessage.objects.filter(name="parcel_posted").first()
    OutboxMessage.objects.filter(pk=notice.pk).update(key="another act")


def _forget_that_it_was_packed(show):
    ParcelEvent.objects.filter(kind="packed").delete()


def _forget_that_it_was_posted(show):
    ParcelEvent.objects.filter(kind="posted").first().delete()
    mark = ParcelEvent.objects.filter(kind="posted").first()
    ParcelEvent.objects.filter(pk=mark.pk).update(kind="not_posted")


def _post_a_second_time(show):
    Parcel.objects.filter(number=2).update(posting=2, noticed_at=None)


@pytest.mark.parametrize(
    ("spoil", "subject"),
    [
        (_skip_a_number, "parcels of each show"),
        (_empty_a_parcel, "parcels of each show"),
        (_offer_a_packed_copy, "copies in parcels"),
        (_forget_a_notice, "notices of parcels"),
        (_forget_that_it_was_packed, "history of parcels"),
        (_forget_that_it_was_posted, "history of parcels"),
        (_post_a_second_time, "history of parcels"),
        (_overrate_a_parcel, "sums of parcels"),
        (_take_another_shows_mailer, "sums of parcels"),
    ],
    ids=lambda value: getattr(value, "__name__", None),
)
def test_spoiled_row_is_found(posted, spoil, subject):
    spoil(posted)
    line = last_line()
    assert line.startswith(f"{subject} (")
    assert "DIFFERS" in line


def test_a_parcel_to_be_packed_that_forgot_its_customs_note_is_found(show, engine):
    show_with_parcels(show)
    assert last_line() == "All figures agree with their rows."
    Parcel.objects.filter(number=1).update(customs_note="CN 22")
    assert last_line().startswith("sums of parcels (")
