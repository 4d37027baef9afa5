"""Rate limits counted in the database, so that every process sees the same count."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime, timedelta

from django.db import connection

from campaign.models import RateCount
from campaign.services.turns import in_turn

KEEP = timedelta(days=1)


def allow(*, limits: Mapping[str, int], window: timedelta, now: datetime) -> bool:
    """
    Count one act under each key of `limits`, and say whether all are still within theirs per `window`.

    One statement, so one commit; the keys in their order, so that two acts never wait for each other. Nobody waits
    until the disk has the count: everybody orders through the same few rows, and a power cut may forget the last ones.
    Windows are fixed, from the epoch.

    Writes: RateCount. Repeat: counts again.
    """
    seconds = int(window.total_seconds())
    start = (now - timedelta(seconds=now.timestamp() % seconds)).replace(microsecond=0)
    with in_turn(), _unflushed() as also, connection.cursor() as cursor:
        rows = ", ".join(["(%s, %s, 1)"] * len(limits))
        cursor.execute(
            f"INSERT INTO {RateCount._meta.db_table} (key, window_at, count) VALUES {rows} "  # noqa: S608 - own name
            f"ON CONFLICT (key, window_at) DO UPDATE SET count = {RateCount._meta.db_table}.count + 1 "
            f"RETURNING key, count{also}",
            [value for key in sorted(limits) for value in (key, start)],
        )
        counts = {key: count for key, count, *_ in cursor.fetchall()}
    return all(counts[key] <= limit for key, limit in limits.items())


@contextmanager
def _unflushed() -> Iterator[str]:
    """
    One statement within is seen by all at once, but nobody waits until the disk has it; outside a transaction only.

    Yields what PostgreSQL is to return besides: by that the statement itself says so of its own commit, without a
    round trip before and after.
    """
    if connection.in_atomic_block:
        yield ""
    elif connection.vendor == "postgresql":
        yield ", set_config('synchronous_commit', 'off', true)"
    else:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA synchronous=NORMAL")
        try:
            yield ""
        finally:
            with connection.cursor() as cursor:
                cursor.execute("PRAGMA synchronous=FULL")  # as config/settings.py opens the file


def forget_old(*, now: datetime) -> int:
    """Drop windows older than a day. Returns how many."""
    deleted, _ = RateCount.objects.filter(window_at__lt=now - KEEP).delete()
    return deleted
