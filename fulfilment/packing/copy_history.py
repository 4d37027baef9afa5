"""What the events of one copy come to: whether it is printed and signed now, and how often it was spoiled."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime


@dataclass(frozen=True, slots=True)
class CopyHistory:
    """One copy now; None where it is not printed, or not signed."""

    printed_at: datetime | None = None
    signed_at: datetime | None = None
    spoilings: int = 0
    spoiled_at: datetime | None = None


def read_history(events: Iterable[tuple[str, datetime]]) -> CopyHistory:
    """
    Go through the events of a copy in the order in which they were recorded.

    Parameters: events, pairs of kind (printed, not_printed, signed, not_signed, spoiled) and moment.
    Returns: what holds after the last one. A spoiled sheet takes print and signature with it; the number stays.
    Raises: ValueError for any other kind.
    Notes: a copy that is printed or signed already keeps the first moment.

    >>> from datetime import datetime, UTC
    >>> noon = datetime(2026, 3, 10, 12, tzinfo=UTC)
    >>> now = read_history([("printed", noon), ("signed", noon), ("spoiled", noon)])
    >>> now.printed_at, now.signed_at, now.spoilings
    (None, None, 1)
    """
    now = CopyHistory()
    for kind, moment in events:
        if kind == "printed":
            now = replace(now, printed_at=now.printed_at or moment)
        elif kind == "signed":
            now = replace(now, signed_at=now.signed_at or moment)
        elif kind == "not_signed":
            now = replace(now, signed_at=None)
        elif kind == "not_printed":
            now = replace(now, printed_at=None, signed_at=None)
        elif kind == "spoiled":
            now = CopyHistory(spoilings=now.spoilings + 1, spoiled_at=moment)
        else:
            raise ValueError(kind)
    return now
