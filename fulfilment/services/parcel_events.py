"""The history of a parcel: the shared step by which the use cases beside it write down what they did."""

import uuid
from collections.abc import Sequence
from datetime import datetime

from django.db import connection

from fulfilment.models import Parcel, ParcelEvent

Kind = ParcelEvent.Kind


def note_event(
    parcels: Sequence[Parcel], *, kind: str, now: datetime, by: str = "", note: str = "", key: uuid.UUID | None = None
) -> None:
    """
    Add a row to the history of each of `parcels`, as they stand, within the transaction of a caller.

    `key` names the act where it may be sent twice; it goes with one parcel.
    Writes: ParcelEvent.
    """
    assert connection.in_atomic_block, "what happened is written down inside the transaction of the act"
    assert key is None or len(parcels) == 1, "an act sent twice is about one parcel"
    ParcelEvent.objects.bulk_create(
        ParcelEvent(
            parcel=parcel, request_key=key or uuid.uuid4(), kind=kind, posting=parcel.posting,
            tracking_number=parcel.tracking_number, happened_at=now, note=note[:300], by=by[:150],
            mailer_id=parcel.mailer_id if kind == Kind.POSTED else None,
        )
        for parcel in parcels
    )  # fmt: skip


def find_act(key: uuid.UUID) -> ParcelEvent | None:
    """What was already done under `key`; None for an act that is new."""
    return ParcelEvent.objects.filter(request_key=key).select_related("parcel").first()
