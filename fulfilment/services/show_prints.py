"""Marks of the prints that are made for the walls; those of ordered copies are `production` and `copy_events`."""

import uuid
from collections.abc import Collection
from datetime import datetime

from django.db import transaction

from campaign.models import Show
from fulfilment.errors import NotInThePrintList
from fulfilment.models import ShowPrintEvent
from fulfilment.queries.print_list import Chosen, read_show_prints, read_wall_histories

Kind = ShowPrintEvent.Kind


@transaction.atomic(durable=True)
def tick_show_prints(*, show: Show, chosen: Collection[Chosen], by: str, now: datetime) -> int:
    """
    Mark prints for the walls as come out well.

    Writes: ShowPrintEvent.
    Raises: NotInThePrintList for prints that the plan does not hang; then none is marked.
    Repeat: a printed one stays as it is. Returns how many were newly marked.
    """
    return mark_wall_printed(lock_list(show, chosen=chosen), chosen=chosen, by=by, now=now)


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
    current = lock_list(show, chosen=chosen)
    return mark_wall_spoiled(current, chosen=chosen, note=note, by=by, request_key=request_key, now=now)


def mark_wall_spoiled(
    show: Show, *, chosen: Collection[Chosen], note: str, by: str, request_key: uuid.UUID, now: datetime
) -> int:
    """Mark prints for the walls as spoiled, in the caller's transaction, once a `request_key`. Returns how many."""
    known = set(
        ShowPrintEvent.objects.filter(show=show, request_key=request_key, kind=Kind.SPOILED).values_list(
            "work_code", "size_code", "finish_code"
        )
    )
    fresh = [one for one in sorted(set(chosen)) if one not in known]
    return _record(show, fresh, kind=Kind.SPOILED, by=by, now=now, request_key=request_key, note=note)


def mark_wall_printed(show: Show, *, chosen: Collection[Chosen], by: str, now: datetime) -> int:
    """Mark prints for the walls as printed, in the caller's transaction. Returns how many were not before."""
    histories = read_wall_histories(show)
    fresh = [one for one in sorted(set(chosen)) if one not in histories or histories[one].printed_at is None]
    return _record(show, fresh, kind=Kind.PRINTED, by=by, now=now, request_key=uuid.uuid4())


def lock_list(show: Show, *, chosen: Collection[Chosen]) -> Show:
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
