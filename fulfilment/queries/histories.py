"""What the recorded events of copies come to."""

from datetime import datetime

from django.db.models import QuerySet

from fulfilment.models import CopyEvent
from fulfilment.packing.copy_history import CopyHistory, read_history


def read_histories(events: QuerySet[CopyEvent]) -> dict[int, CopyHistory]:
    """By the key of the copy; copies without events are left out. One query."""
    of_copy: dict[int, list[tuple[str, datetime]]] = {}
    for copy_pk, kind, happened_at in events.order_by("pk").values_list("copy_id", "kind", "happened_at"):
        of_copy.setdefault(copy_pk, []).append((kind, happened_at))
    return {copy_pk: read_history(found) for copy_pk, found in of_copy.items()}
