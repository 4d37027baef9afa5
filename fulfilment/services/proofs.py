"""Artist's proofs in the register: printed, signed, spoiled. Outside the count and never sold: no money, no parcel."""

import uuid
from collections.abc import Collection
from datetime import datetime

from django.db import transaction

from campaign.models import Edition
from fulfilment.errors import CopiesNotOut
from fulfilment.models import CopyEvent
from fulfilment.packing.copy_history import CopyHistory
from fulfilment.queries.histories import read_histories
from fulfilment.services.copy_events import lock_copies, record

Kind = CopyEvent.Kind


@transaction.atomic(durable=True)
def mark_proofs(
    *,
    edition: Edition,
    numbers: Collection[int],
    act: str,
    by: str,
    now: datetime,
    note: str = "",
    request_key: uuid.UUID | None = None,
) -> int:
    """
    What happened to artist's proofs; `act` is a kind of `CopyEvent`, `note` says why they are spoiled.

    Writes: CopyEvent.
    Raises: CopiesNotOut for proofs that are to be signed and have not come out well, or that there are not; then
        none is marked.
    Repeat: what is so already stays as it is; the same `request_key` spoils each proof once. Returns how many were new.
    """
    copies = lock_copies(edition, numbers, of_proofs=True)
    events = CopyEvent.objects.filter(copy__in=copies)
    histories = read_histories(events)
    now_of = {copy.pk: histories.get(copy.pk, CopyHistory()) for copy in copies}
    able = {copy.number for copy in copies if act != Kind.SIGNED or now_of[copy.pk].printed_at}
    if missing := set(numbers) - able:
        raise CopiesNotOut(numbers=tuple(sorted(missing)))
    done = (
        set(events.filter(request_key=request_key, kind=act).values_list("copy", flat=True)) if request_key else set()
    )
    fresh = [copy for copy in copies if copy.pk not in done and _is_new(act, now_of[copy.pk])]
    note = note if act == Kind.SPOILED else ""
    return record(fresh, kind=Kind(act), by=by, now=now, note=note, request_key=request_key)


def _is_new(act: str, history: CopyHistory) -> bool:
    return {
        Kind.PRINTED: history.printed_at is None,
        Kind.SIGNED: history.signed_at is None,
        Kind.SPOILED: True,
        Kind.NOT_PRINTED: history.printed_at is not None,
        Kind.NOT_SIGNED: history.signed_at is not None,
    }[Kind(act)]
