"""Rate limits counted in the database, so that every process sees the same count."""

from datetime import datetime, timedelta

from django.db import connection

from campaign.models import RateCount

KEEP = timedelta(days=1)


def allow(*, key: str, limit: int, window: timedelta, now: datetime) -> bool:
    """
    Count one act under `key` and say whether it is still within `limit` per `window` (fixed windows from the epoch).

    Writes: RateCount. Repeat: counts again.
    """
    seconds = int(window.total_seconds())
    start = now - timedelta(seconds=now.timestamp() % seconds)
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {RateCount._meta.db_table} (key, window_at, count) VALUES (%s, %s, 1) "  # noqa: S608 - own name
            f"ON CONFLICT (key, window_at) DO UPDATE SET count = {RateCount._meta.db_table}.count + 1 RETURNING count",
            [key, start.replace(microsecond=0)],
        )
        (count,) = cursor.fetchone()
    return bool(count <= limit)


def forget_old(*, now: datetime) -> int:
    """Drop windows older than a day. Returns how many."""
    deleted, _ = RateCount.objects.filter(window_at__lt=now - KEEP).delete()
    return deleted
