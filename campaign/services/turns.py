"""
A line for SQLite's one writer, so that in a rush whoever came first orders first.

SQLite itself does not wait in line: it tries again after pauses of up to a tenth of a second, and who is unlucky waits
while everybody else orders. Other engines have lines of their own. The line is a courtesy: SQLite's lock stays what
keeps writers apart, so writers that do not know of it, or a disk that takes no file, do no harm.
"""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from django.db import connection

if sys.platform != "win32":
    import fcntl


@contextmanager
def in_turn() -> Iterator[None]:
    """Do what stands within when it is this thread's turn. The system ends the turn of a process that dies."""
    line = _line() if connection.vendor == "sqlite" and not connection.in_atomic_block else None
    if line is None:
        yield
        return
    with line:
        yield


def _line() -> IO[bytes] | None:
    """The file beside the database that is locked while it is somebody's turn; None where there can be none."""
    name = str(connection.settings_dict["NAME"])
    if sys.platform == "win32" or "memory" in name:
        return None
    try:
        line = Path(f"{name}-turns").open("ab")  # noqa: SIM115 - closed by the caller, which is what ends the turn
    except OSError:
        return None
    fcntl.flock(line, fcntl.LOCK_EX)
    return line
