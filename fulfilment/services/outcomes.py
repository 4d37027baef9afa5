"""What became of a posted parcel, and sending one again. Refunds are the campaign's: see owing."""

import uuid
from datetime import datetime

from django.db import transaction

from campaign.models import Copy, Show
from fulfilment.errors import NoSuchParcel, NothingToSendAgain, OutcomeNotYet
from fulfilment.models import Parcel, ParcelEvent
from fulfilment.queries.outcomes import BACK, OUTCOMES, newest_outcome
from fulfilment.services.papers import make_again
from fulfilment.services.parcel_events import find_act, note_event
from fulfilment.services.parcel_sums import reckon_again


@transaction.atomic(durable=True)
def record_outcome(
    *, show: Show, code: str, kind: str, note: str, request_key: uuid.UUID, by: str, now: datetime
) -> ParcelEvent:
    """
    A posted parcel was delivered, came back, arrived damaged or is lost; a later word on it is a further row.

    Writes: ParcelEvent.
    Raises: NoSuchParcel; OutcomeNotYet before it is posted.
    Repeat: the same key is the same act; the row that is there.
    """
    assert kind in OUTCOMES, "the form offers outcomes only"
    parcel = _locked(show, code=code)
    if known := find_act(request_key):
        return known
    if not parcel.is_posted:
        raise OutcomeNotYet(parcel_number=parcel.number)
    note_event([parcel], kind=kind, now=now, by=by, note=note, key=request_key)
    return ParcelEvent.objects.get(request_key=request_key)


@transaction.atomic(durable=True)
def send_again(*, show: Show, code: str, note: str, request_key: uuid.UUID, by: str, now: datetime) -> Parcel:
    """
    What came back, was damaged or is lost goes out once more: the parcel is to be packed, under its next posting.

    Its own number, its copies and its whole history stay; a corrected address goes along with it, and its recipient
    is told again when it is posted. A print that was spoiled is marked so in the room Print. Postage and customs note
    are those of the day; where they are others than before, its papers are made again.
    Writes: Parcel, Copy.is_posted, ParcelEvent; Paper, Job.
    Raises: NoSuchParcel; NothingToSendAgain while it is on its way or has arrived.
    Repeat: the same key is the same act.
    """
    parcel = _locked(show, code=code)
    if find_act(request_key):
        return parcel
    newest = newest_outcome(parcel)
    if not parcel.is_posted or newest is None or newest.kind not in BACK:
        raise NothingToSendAgain(parcel_number=parcel.number)
    note_event([parcel], kind=ParcelEvent.Kind.SENT_AGAIN, now=now, by=by, note=note, key=request_key)
    Copy.objects.filter(parcel_copy__parcel=parcel).update(is_posted=False)
    Parcel.objects.filter(pk=parcel.pk).update(
        state=Parcel.State.TO_PACK, posting=parcel.posting + 1, packed_at=None, packed_by="", posted_at=None,
        tracking_number="", noticed_at=None,
    )  # fmt: skip
    make_again(reckon_again([parcel], now=now))
    parcel.refresh_from_db()
    return parcel


def _locked(show: Show, *, code: str) -> Parcel:
    parcel = Parcel.objects.select_for_update(no_key=True).filter(show=show, code=code).first()
    if parcel is None:
        raise NoSuchParcel(code=code)
    return parcel
