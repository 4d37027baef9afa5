"""Going through rows that are due, so that one which fails does not keep the others waiting."""

import logging
from collections.abc import Callable, Iterable
from typing import TypeVar

log = logging.getLogger(__name__)
Row = TypeVar("Row")


def each(act: Callable[[Row], int], rows: Iterable[Row]) -> int:
    """Do `act` for every row and add up what it gives; a row that raises is logged and comes again next time."""
    total = 0
    for row in rows:
        try:
            total += act(row)
        except Exception:
            log.exception("%s failed for %r, the others go on", getattr(act, "__name__", "a step"), row)
    return total
