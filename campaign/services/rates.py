"""Rate limits counted in the database, so that every process sees the same count."""

from collections.abc import Mapping
from datetime import datetime, timedelta

from django.db import connection

from campaign.models import RateCount

KEEP = timedelta(days=1)


def allow(*, limits: Mapping[str, int], window: timedelta, now: datetime) -> bool:
    """
    Count one act under each key of `limits`, and say whether all are still within theirs per `window`.

    One statement, so one commit; the keys in their order, so that two acts never wait for each other. Windows are
    fixed, from the epoch.

    Writes: RateCount. Repeat: counts again.
    """
    seconds = int(window.total_seconds())
    start = now - timedelta(seconds=now.timestamp() % seconds)
    with connection.cursor() as cursor:
        rows = ", ".join(["(%s, %s, 1)"] * len(limits))
        cursor.execute(
            f"INSERT INTO {RateCount._meta.db_table} (key, window_at, count) VALUES {rows} "  # noqa: S608 - own name
            f"ON CONFLICT (key, window_at) DO UPDATE SET count = {RateCount._meta.db_table}.count + 1 "
            "RETURNING key, count",
            [value for key in sorted(limits) for value in (key, start.replace(microsecond=0))],
        )
        counts = dict(cursor.fetchall())
    return all(counts[key] <= limit for key, limit in limits.items())


def forget_old(*, now: datetime) -> int:
    """Drop windows older than a day. Returns how many."""
    deleted, _ = RateCount.objects.filter(window_at__lt=now - KEEP).delete()
    return deleted
