"""Packing: a parcel is packed once, by one person, with exactly the copies that belong in it. Posting: see parcels."""

import uuid
from collections.abc import Collection
from datetime import datetime

from django.db import transaction

from campaign.errors import NotInThisState
from campaign.models import Copy, Show
from fulfilment.errors import NoSuchParcel, NotToBePacked, ParcelEmpty, ParcelHoldsOthers
from fulfilment.models import Parcel, ParcelEvent
from fulfilment.queries.packing_station import copy_key, why_not_packed
from fulfilment.services.parcel_events import find_act, note_event
from fulfilment.services.parcels import check_printed, take_cancelled_out_of

State, Kind = Parcel.State, ParcelEvent.Kind


@transaction.atomic(durable=True)
def pack_parcel(
    *, show: Show, code: str, confirmed: Collection[str], request_key: uuid.UUID, by: str, now: datetime
) -> Parcel:
    """
    A parcel is packed: each copy that belongs in it was confirmed, and no other. Of two people one is first.

    `confirmed` are keys of copies, as the station shows them. Cancelled copies are not in it, so they are let go.
    Writes: Parcel, ParcelEvent; ParcelCopy and Copy.is_packed of what was cancelled.
    Raises: NoSuchParcel; NotInThisState in a show that is called off; NotToBePacked for one that is packed, posted or
        taken up by somebody else; ParcelEmpty; ParcelHoldsOthers when what belongs in it has changed meanwhile;
        ParcelWaitsForPrint.
    Repeat: the same key is the same act; the parcel as it was packed by it.
    """
    if known := find_act(request_key):
        return _as_done(known, show=show, code=code)
    if not Parcel.objects.filter(show=show, code=code).exists():
        raise NoSuchParcel(code=code)
    if Show.objects.get(pk=show.pk).state == Show.State.CALLED_OFF:
        raise NotInThisState(what="The show", state=Show.State.CALLED_OFF.label)
    # The row is taken before anything is looked at: whoever comes second waits here, and finds it packed.
    free = Parcel.objects.filter(show=show, code=code, state=State.TO_PACK)
    won = free.update(state=State.PACKED, packed_at=now, packed_by=by[:150])
    parcel = Parcel.objects.select_related("show").get(show=show, code=code)
    if not won:
        if known := find_act(request_key):  # the same act, sent twice at the same moment
            return _as_done(known, show=show, code=code)
        raise NotToBePacked(why_not_packed(parcel, zone=parcel.show.zone))
    take_cancelled_out_of([parcel], now=now)
    inside = Copy.objects.filter(parcel_copy__parcel=parcel).select_related("edition")
    wanted = {copy_key(copy) for copy in inside}
    if not wanted:
        raise ParcelEmpty(parcel_number=parcel.number)
    if wanted != set(confirmed):
        raise ParcelHoldsOthers(parcel_number=parcel.number)
    check_printed(parcel)
    note_event([parcel], kind=Kind.PACKED, now=now, by=by, key=request_key)
    return parcel


def _as_done(known: ParcelEvent, *, show: Show, code: str) -> Parcel:
    if known.kind != Kind.PACKED or known.parcel.code != code or known.parcel.show_id != show.pk:
        raise NotToBePacked("This act was used for another parcel. Scan the slip again.")
    return known.parcel


@transaction.atomic(durable=True)
def open_parcel(*, show: Show, code: str, by: str, now: datetime, note: str = "") -> bool:
    """
    A packed parcel is opened again: it is to be packed, and each copy to be confirmed anew.

    Writes: Parcel, ParcelEvent.
    Raises: NoSuchParcel; NotToBePacked for one that is posted.
    Repeat: a parcel that is to be packed stays so. Returns whether it was opened now.
    """
    if Parcel.objects.filter(show=show, code=code, state=State.PACKED).update(
        state=State.TO_PACK, packed_at=None, packed_by=""
    ):
        note_event([Parcel.objects.get(show=show, code=code)], kind=Kind.UNPACKED, now=now, by=by, note=note)
        return True
    parcel = Parcel.objects.filter(show=show, code=code).select_related("show").first()
    if parcel is None:
        raise NoSuchParcel(code=code)
    if parcel.is_posted:
        raise NotToBePacked(why_not_packed(parcel, zone=parcel.show.zone))
    return False
