"""Marks of the prints that are made for the walls; those of ordered copies are `production` and `copy_events`."""

import uuid
from collections.abc import Collection, Mapping
from datetime import datetime

from django.db import transaction

from campaign.models import Copy, Edition, Show
from fulfilment.errors import CopiesNotSpokenFor, NotInThePrintList
from fulfilment.models import CopyEvent, ShowPrintEvent
from fulfilment.queries.histories import read_histories
from fulfilment.queries.print_list import Chosen, read_show_prints, read_wall_histories
from fulfilment.services.copy_events import lock_copies, mark_printed, record

Kind = ShowPrintEvent.Kind


@transaction.atomic(durable=True)
def tick_show_prints(*, show: Show, chosen: Collection[Chosen], by: str, now: datetime) -> int:
    """
    Mark prints for the walls as come out well.

    Writes: ShowPrintEvent.
    Raises: NotInThePrintList for prints that the plan does not hang; then none is marked.
    Repeat: a printed one stays as it is. Returns how many were newly marked.
    """
    return _tick(_open(show, chosen=chosen), chosen=chosen, by=by, now=now)


@transaction.atomic(durable=True)
def untick_show_prints(*, show: Show, chosen: Collection[Chosen], by: str, now: datetime) -> int:
    """
    Take back a mark that was a mistake; a print that came out and is spoiled is `spoil_show_prints`.

    Writes: ShowPrintEvent.
    Repeat: nothing is left to take back. Returns how many marks were taken back.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    histories = read_wall_histories(current)
    marked = [one for one in sorted(set(chosen)) if one in histories and histories[one].printed_at]
    return _record(show, marked, kind=Kind.NOT_PRINTED, by=by, now=now, request_key=uuid.uuid4())


@transaction.atomic(durable=True)
def spoil_show_prints(
    *, show: Show, chosen: Collection[Chosen], note: str, by: str, request_key: uuid.UUID, now: datetime
) -> int:
    """
    These prints are spoiled, before or after they were marked as printed: they are to be printed again.

    Writes: ShowPrintEvent.
    Raises: NotInThePrintList for prints that the plan does not hang; then none is marked.
    Repeat: the same `request_key` spoils each print once. Returns how many were newly spoiled.
    """
    current = _open(show, chosen=chosen)
    known = set(
        ShowPrintEvent.objects.filter(show=current, request_key=request_key, kind=Kind.SPOILED).values_list(
            "work_code", "size_code", "finish_code"
        )
    )
    fresh = [one for one in sorted(set(chosen)) if one not in known]
    return _record(show, fresh, kind=Kind.SPOILED, by=by, now=now, request_key=request_key, note=note)


@transaction.atomic(durable=True)
def tick_part(
    *,
    show: Show,
    chosen: Collection[Chosen],
    copies: Mapping[str, Collection[int]],
    proofs: Mapping[str, Collection[int]],
    by: str,
    now: datetime,
) -> int:
    """
    Mark all prints of one sheet or length as come out well; `copies` and `proofs` are numbers by code of edition.

    Writes: ShowPrintEvent, Impression, CopyEvent, Copy.is_printed.
    Raises: NotInThePrintList for prints that the plan does not hang, CopiesNotSpokenFor; then none is marked.
    Repeat: what is printed stays as it is. Returns how many were newly marked.
    """
    current = _open(show, chosen=chosen)
    count = 0
    for edition in Edition.objects.filter(show=current, code__in={*copies, *proofs}).order_by("pk"):
        numbers = set(copies.get(edition.code, ()))
        locked = [copy for copy in lock_copies(edition, numbers) if copy.state == Copy.State.SPOKEN_FOR]
        strangers = numbers - {copy.number for copy in locked}
        if strangers:
            raise CopiesNotSpokenFor(numbers=tuple(sorted(strangers)))
        count += mark_printed(locked, by=by, now=now)
        count += _tick_proofs(edition, proofs.get(edition.code, ()), by=by, now=now)
    return count + _tick(current, chosen=chosen, by=by, now=now)


def _tick_proofs(edition: Edition, numbers: Collection[int], *, by: str, now: datetime) -> int:
    """Artist's proofs have events alone: nobody paid for one."""
    locked = lock_copies(edition, numbers, of_proofs=True)
    histories = read_histories(CopyEvent.objects.filter(copy__in=locked))
    fresh = [copy for copy in locked if copy.pk not in histories or histories[copy.pk].printed_at is None]
    return record(fresh, kind=CopyEvent.Kind.PRINTED, by=by, now=now)


def _tick(show: Show, *, chosen: Collection[Chosen], by: str, now: datetime) -> int:
    histories = read_wall_histories(show)
    fresh = [one for one in sorted(set(chosen)) if one not in histories or histories[one].printed_at is None]
    return _record(show, fresh, kind=Kind.PRINTED, by=by, now=now, request_key=uuid.uuid4())


def _open(show: Show, *, chosen: Collection[Chosen]) -> Show:
    """The show, locked, so that two tabs mark one after the other. Raises: NotInThePrintList."""
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    if set(chosen) - read_show_prints(current):
        raise NotInThePrintList
    return current


def _record(
    show: Show,
    chosen: Collection[Chosen],
    *,
    kind: Kind,
    by: str,
    now: datetime,
    request_key: uuid.UUID,
    note: str = "",
) -> int:
    events = [
        ShowPrintEvent(
            show=show,
            work_code=work,
            size_code=size,
            finish_code=finish,
            kind=kind,
            request_key=request_key,
            happened_at=now,
            note=note[:200],
            by=by,
        )
        for work, size, finish in chosen
    ]
    return len(ShowPrintEvent.objects.bulk_create(events, batch_size=500))
