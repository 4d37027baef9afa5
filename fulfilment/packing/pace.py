"""How fast parcels are being packed, from the moments at which they were."""

from collections.abc import Sequence
from datetime import datetime, timedelta

REST = timedelta(minutes=15)  # a longer gap is a break, not a slow parcel
LEAST = 3  # parcels; the time between two says little


def parcels_an_hour(packed_at: Sequence[datetime], *, now: datetime) -> int | None:
    """
    Parcels an hour since the last break, whoever packed them.

    Parameters: packed_at, moments in any order, those after `now` are left out.
    Returns: whole parcels an hour, at least 1; None with fewer than three since the last break, or in a break now.

    >>> from datetime import UTC
    >>> start = datetime(2026, 3, 2, 10, 0, tzinfo=UTC)
    >>> parcels_an_hour([start + timedelta(minutes=2 * n) for n in range(4)], now=start + timedelta(minutes=7))
    30
    """
    moments = sorted(moment for moment in packed_at if moment <= now)
    if not moments or now - moments[-1] > REST:
        return None
    first = len(moments) - 1
    while first > 0 and moments[first] - moments[first - 1] <= REST:
        first -= 1
    run = moments[first:]
    took_s = (run[-1] - run[0]).total_seconds()
    if len(run) < LEAST or took_s <= 0:
        return None
    return max(1, round((len(run) - 1) * 3600 / took_s))
