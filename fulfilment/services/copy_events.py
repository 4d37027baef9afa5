"""The edition register's events: written with every mark, by the services that set it; and signing and spoiling."""

import uuid
from collections.abc import Collection, Iterable
from datetime import datetime

from django.db import transaction
from django.db.models import Q

from campaign.models import Copy, Edition
from fulfilment.errors import CopiesInClosedParcels, CopiesNotOut, CopiesNotSpokenFor
from fulfilment.models import CLOSED, CopyEvent, Impression, Parcel, ParcelCopy
from fulfilment.queries.histories import read_histories

Kind = CopyEvent.Kind


def lock_copies(edition: Edition, numbers: Collection[int], *, of_proofs: bool = False) -> list[Copy]:
    """
    The numbered copies among `numbers`, or the artist's proofs, rising; the edition is locked.

    So two tabs mark one after the other. Only inside a transaction.
    """
    Edition.objects.select_for_update(no_key=True).get(pk=edition.pk)
    copies, is_proof = Copy.objects.filter(edition=edition, number__in=numbers), Q(state=Copy.State.PROOF)
    return list(copies.filter(is_proof if of_proofs else ~is_proof).order_by("number"))


def record(
    copies: Iterable[Copy], *, kind: Kind, by: str, now: datetime, note: str = "", request_key: uuid.UUID | None = None
) -> int:
    """Write one event a copy, in the caller's transaction. Returns how many."""
    assert transaction.get_connection().in_atomic_block
    key = request_key or uuid.uuid4()
    events = [
        CopyEvent(copy=copy, kind=kind, by=by, happened_at=now, note=note[:200], request_key=key) for copy in copies
    ]
    return len(CopyEvent.objects.bulk_create(events, batch_size=500))


def mark_printed(copies: Collection[Copy], *, by: str, now: datetime) -> int:
    """Mark locked copies as printed well, in the caller's transaction. Returns how many were not before."""
    assert transaction.get_connection().in_atomic_block
    known = set(Impression.objects.filter(copy__in=copies).values_list("copy_id", flat=True))
    fresh = [copy for copy in copies if copy.pk not in known]
    Impression.objects.bulk_create(Impression(copy=copy, printed_at=now) for copy in fresh)
    Copy.objects.filter(pk__in=[copy.pk for copy in copies], is_printed=False).update(is_printed=True)
    return record(fresh, kind=Kind.PRINTED, by=by, now=now)


def mark_spoiled(
    edition: Edition, numbers: Collection[int], *, note: str, by: str, request_key: uuid.UUID, now: datetime
) -> int:
    """Mark copies as spoiled, in the caller's transaction; as `spoil_copies` says."""
    assert transaction.get_connection().in_atomic_block
    copies = lock_copies(edition, numbers)
    known = {copy.number for copy in copies if copy.is_printed or copy.state == Copy.State.SPOKEN_FOR}
    done = set(
        CopyEvent.objects.filter(copy__in=copies, request_key=request_key, kind=Kind.SPOILED).values_list(
            "copy_id", flat=True
        )
    )
    fresh = [copy for copy in copies if copy.pk not in done]
    strangers = set(numbers) - known - {copy.number for copy in copies if copy.pk in done}
    if strangers:
        raise CopiesNotSpokenFor(numbers=tuple(sorted(strangers)))
    _check_no_closed_parcel(fresh)
    Impression.objects.filter(copy__in=fresh).delete()
    Copy.objects.filter(pk__in=[copy.pk for copy in fresh], is_printed=True).update(is_printed=False)
    return record(fresh, kind=Kind.SPOILED, by=by, now=now, note=note, request_key=request_key)


@transaction.atomic(durable=True)
def sign_copies(*, edition: Edition, numbers: Collection[int], by: str, now: datetime) -> int:
    """
    Mark printed copies as signed and numbered by hand.

    Writes: CopyEvent.
    Raises: CopiesNotOut for copies that have not come out well; then none is marked.
    Repeat: a signed copy stays as it is. Returns how many were newly marked.
    """
    copies = lock_copies(edition, numbers)
    missing = set(numbers) - {copy.number for copy in copies if copy.is_printed}
    if missing:
        raise CopiesNotOut(numbers=tuple(sorted(missing)))
    known = _signed(copies)
    fresh = [copy for copy in copies if copy.pk not in known]
    return record(fresh, kind=Kind.SIGNED, by=by, now=now)


def _signed(copies: Collection[Copy]) -> set[int]:
    histories = read_histories(CopyEvent.objects.filter(copy__in=copies))
    return {key for key, history in histories.items() if history.signed_at}


@transaction.atomic(durable=True)
def unsign_copies(*, edition: Edition, numbers: Collection[int], by: str, now: datetime) -> int:
    """
    Take the mark of signing back.

    Writes: CopyEvent.
    Repeat: nothing is left to take back. Returns how many marks were taken back.
    """
    copies = lock_copies(edition, numbers)
    known = _signed(copies)
    return record([copy for copy in copies if copy.pk in known], kind=Kind.NOT_SIGNED, by=by, now=now)


@transaction.atomic(durable=True)
def spoil_copies(
    *, edition: Edition, numbers: Collection[int], note: str, by: str, request_key: uuid.UUID, now: datetime
) -> int:
    """
    These sheets are spoiled: the copies are to be printed again with the same numbers.

    A copy that lies in a parcel not closed yet stays numbered into it. A sheet can be spoiled before it was ever
    marked as printed; that is an event too, so that the count of sheets is true.
    Writes: CopyEvent; Impression, Copy.is_printed.
    Raises: CopiesNotSpokenFor for numbers that are neither paid for nor printed; CopiesInClosedParcels for those in
        a parcel that is packed or posted; then none is changed.
    Repeat: the same `request_key` spoils each copy once. Returns how many were newly spoiled.
    """
    return mark_spoiled(edition, numbers, note=note, by=by, request_key=request_key, now=now)


def _check_no_closed_parcel(copies: Collection[Copy]) -> None:
    # Locked, so that no parcel is closed over a copy that is just being spoiled.
    rows = ParcelCopy.objects.filter(copy__in=copies)
    parcels = Parcel.objects.select_for_update(no_key=True).filter(pk__in=rows.values("parcel")).order_by("pk")
    closed = [parcel.pk for parcel in parcels if parcel.state in CLOSED]
    numbers = rows.filter(parcel__in=closed).order_by("copy__number").values_list("copy__number", flat=True)
    if closed:
        raise CopiesInClosedParcels(numbers=tuple(numbers))
