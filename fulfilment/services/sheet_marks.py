"""A whole sheet or length of roll at once: all prints on it came out well, or all are spoiled."""

import uuid
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction

from campaign.models import Copy, Edition, Show
from fulfilment.errors import CopiesNotSpokenFor
from fulfilment.models import CopyEvent
from fulfilment.queries.histories import read_histories
from fulfilment.queries.print_list import Chosen
from fulfilment.services.copy_events import lock_copies, mark_printed, mark_spoiled, record
from fulfilment.services.show_prints import lock_list, mark_wall_printed, mark_wall_spoiled

Numbers = Mapping[str, Collection[int]]


@dataclass(frozen=True, slots=True)
class SheetPrints:
    """What is on a sheet: prints for the walls, and numbers of copies and of artist's proofs by code of edition."""

    chosen: Sequence[Chosen] = ()
    copies: Numbers = field(default_factory=dict)
    proofs: Numbers = field(default_factory=dict)


@transaction.atomic(durable=True)
def tick_sheet(*, show: Show, prints: SheetPrints, by: str, now: datetime) -> int:
    """
    Mark all prints of a sheet or length as come out well.

    Writes: ShowPrintEvent, Impression, CopyEvent, Copy.is_printed.
    Raises: NotInThePrintList for prints that the plan does not hang, CopiesNotSpokenFor; then none is marked.
    Repeat: what is printed stays as it is. Returns how many were newly marked.
    """
    current = lock_list(show, chosen=prints.chosen)
    count = 0
    for edition in _editions(current, prints=prints):
        numbers = set(prints.copies.get(edition.code, ()))
        locked = [copy for copy in lock_copies(edition, numbers) if copy.state == Copy.State.SPOKEN_FOR]
        strangers = numbers - {copy.number for copy in locked}
        if strangers:
            raise CopiesNotSpokenFor(numbers=tuple(sorted(strangers)))
        count += mark_printed(locked, by=by, now=now)
        count += _tick_proofs(edition, prints.proofs.get(edition.code, ()), by=by, now=now)
    return count + mark_wall_printed(current, chosen=prints.chosen, by=by, now=now)


@transaction.atomic(durable=True)
def spoil_sheet(*, show: Show, prints: SheetPrints, note: str, by: str, request_key: uuid.UUID, now: datetime) -> int:
    """
    The sheet is spoiled: all prints on it are to be printed again, whether they were marked as printed or not.

    Writes: ShowPrintEvent, CopyEvent; Impression, Copy.is_printed.
    Raises: NotInThePrintList, CopiesNotSpokenFor, CopiesInClosedParcels; then none is marked.
    Repeat: the same `request_key` spoils each print once. Returns how many were newly spoiled.
    """
    current = lock_list(show, chosen=prints.chosen)
    count = 0
    for edition in _editions(current, prints=prints):
        numbers = prints.copies.get(edition.code, ())
        count += mark_spoiled(edition, numbers, note=note, by=by, request_key=request_key, now=now)
        proofs = lock_copies(edition, prints.proofs.get(edition.code, ()), of_proofs=True)
        done = set(CopyEvent.objects.filter(copy__in=proofs, request_key=request_key).values_list("copy", flat=True))
        fresh = [copy for copy in proofs if copy.pk not in done]
        count += record(fresh, kind=CopyEvent.Kind.SPOILED, by=by, now=now, note=note, request_key=request_key)
    return count + mark_wall_spoiled(current, chosen=prints.chosen, note=note, by=by, request_key=request_key, now=now)


def _editions(show: Show, *, prints: SheetPrints) -> list[Edition]:
    """In the order of their keys, so that two sheets never wait for each other."""
    return list(Edition.objects.filter(show=show, code__in={*prints.copies, *prints.proofs}).order_by("pk"))


def _tick_proofs(edition: Edition, numbers: Collection[int], *, by: str, now: datetime) -> int:
    """Artist's proofs have events alone: nobody paid for one."""
    locked = lock_copies(edition, numbers, of_proofs=True)
    histories = read_histories(CopyEvent.objects.filter(copy__in=locked))
    fresh = [copy for copy in locked if copy.pk not in histories or histories[copy.pk].printed_at is None]
    return record(fresh, kind=CopyEvent.Kind.PRINTED, by=by, now=now)
