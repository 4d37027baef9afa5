"""The session of the database in which mails go out: one of a site at a time, and commits that do not wait."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress

from django.db import DatabaseError, connection

SENDER = 0x6D61696C  # of the advisory locks of a database, the one of who sends
# A machine that is cut off says no good-bye: without this its connection, and the lock with it, stays for two hours.
_NOTICED_SOON = (
    "SELECT set_config('tcp_keepalives_idle', '30', false), set_config('tcp_keepalives_interval', '10', false), "
    "set_config('tcp_keepalives_count', '3', false), set_config('tcp_user_timeout', '60000', false)"
)
_one_thread = threading.Lock()  # the same among the threads of a process on SQLite


@contextmanager
def sending_alone() -> Iterator[bool]:
    """
    Whether this process is the one that sends, as long as the block lasts; a killed one lets go of it.

    On SQLite the others are threads of this process, whose worker has several: a site on a file has one process.
    """
    if connection.vendor != "postgresql":
        is_alone = _one_thread.acquire(blocking=False)
        try:
            yield is_alone
        finally:
            if is_alone:
                _one_thread.release()
        return
    with connection.cursor() as cursor:
        cursor.execute(_NOTICED_SOON)
        cursor.execute("SELECT pg_try_advisory_lock(%s)", [SENDER])
        [is_alone] = cursor.fetchone()
    try:
        yield is_alone
    finally:
        if is_alone:
            with suppress(DatabaseError), connection.cursor() as cursor:  # a lost connection has let go already
                cursor.execute("SELECT pg_advisory_unlock(%s)", [SENDER])


@contextmanager
def quick_notes() -> Iterator[None]:
    """
    Commits within are seen by all at once and outlive this process, but nobody waits until the disk has them.

    Only a power cut takes the last ones back, and then the mails they tell of are sent again: what is promised anyway.
    """
    if connection.in_atomic_block:  # a caller's transaction flushes as it likes
        yield
        return
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            before, quick, after = None, "SET synchronous_commit TO off", "RESET synchronous_commit"
        else:
            before = cursor.execute("PRAGMA synchronous").fetchone()[0]
            quick, after = "PRAGMA synchronous=NORMAL", f"PRAGMA synchronous={before}"
        cursor.execute(quick)
    try:
        yield
    finally:
        with suppress(DatabaseError), connection.cursor() as cursor:  # a lost connection has nothing to put back
            cursor.execute(after)
