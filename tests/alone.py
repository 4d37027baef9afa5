"""
A moment with the machine to itself, for a test whose figure is a time: the others of the same run wait so long.

Each test of load and faults holds the common lock; whoever wants to be alone waits until all others have let go of it.
Those which do begin the run (`tests.conftest`), beside tests that let them in (`let_in`), so that nobody waits for a
long test to end. One run only: in one process, or beside another run, nobody waits.
"""

import contextlib
import fcntl
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path


class _Lock:
    """Held in common by any number of processes, or by one alone; who waits to be alone lets nobody else in before."""

    def __init__(self, name: str) -> None:
        folder = Path(tempfile.gettempdir()) / f"wallful-tests-{os.getuid()}"
        folder.mkdir(mode=0o700, exist_ok=True)
        self._door, self._room = (
            os.open(folder / f"{name}.{part}", os.O_RDWR | os.O_CREAT, 0o600) for part in ("door", "room")
        )

    def enter(self, how: int) -> None:
        with _held(self._door):
            fcntl.flock(self._room, how)

    def leave(self) -> None:
        fcntl.flock(self._room, fcntl.LOCK_UN)


@contextlib.contextmanager
def _held(file: int) -> Iterator[None]:
    fcntl.flock(file, fcntl.LOCK_EX)
    try:
        yield
    finally:
        fcntl.flock(file, fcntl.LOCK_UN)


_run = os.environ.get("PYTEST_XDIST_TESTRUNUID", "")
_lock = _Lock(_run) if _run else None


@contextlib.contextmanager
def beside_others() -> Iterator[None]:
    """As any test runs."""
    if _lock:
        _lock.enter(fcntl.LOCK_SH)
    try:
        yield
    finally:
        if _lock:
            _lock.leave()


@contextlib.contextmanager
def alone() -> Iterator[None]:
    """Inside `beside_others`: nobody else of this run in the block."""
    if not _lock:
        yield
        return
    _lock.leave()
    _lock.enter(fcntl.LOCK_EX)
    try:
        yield
    finally:
        _lock.leave()
        _lock.enter(fcntl.LOCK_SH)


def let_in() -> None:
    """Inside `beside_others`, between two small steps of a long test: whoever waits to be alone may be so now."""
    if _lock:
        _lock.leave()
        _lock.enter(fcntl.LOCK_SH)
