"""
The child processes in which papers are made: started when one is needed, kept for a minute, stopped when one hangs.

A child takes one document a line and answers a line for each, and knows nothing of the site: no secret, no database.
To start one takes as long as twenty slips, so one that has done its work stays for the next who asks, until nobody
has asked for a minute or it has made so many pages that its memory should go back. It ends by itself when this process
ends in whatever way: its input is a pipe.
"""

import atexit
import contextlib
import json
import logging
import os
import subprocess
import sys
import tempfile
import threading
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from campaign.errors import TemporaryFailure

log = logging.getLogger(__name__)
NO_ENGINE = 3  # exit status of a child that could not load WeasyPrint
IDLE_S = 60
KEPT = 2  # one for each half of a job; whoever else asks at the same moment has one that ends after its work
PAGES_A_CHILD = 500
_ROOT = Path(__file__).resolve().parent.parent
MISSING_ENGINE = (
    "Papers need the pango library, which this machine does not have. Debian or Ubuntu: apt-get install "
    "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0. macOS: brew install pango."
)


class _Ended(Exception):
    """The child closed its side; its status says why."""


class _Child:
    """One process, asked by one thread at a time."""

    def __init__(self, environment: dict[str, str]) -> None:
        self.environment = environment
        self.pages = 0
        self._is_late = False
        self._errors = tempfile.TemporaryFile()  # noqa: SIM115, lives as long as the child
        self._process = subprocess.Popen(  # noqa: S603, the arguments are ours
            [sys.executable, "-m", "campaign.pdf", str(IDLE_S)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self._errors,
            cwd=_ROOT,
            env=environment,
        )

    @property
    def is_fit(self) -> bool:
        """Whether it may be asked again."""
        return self._process.poll() is None and self.pages < PAGES_A_CHILD

    def answer(self, documents: Sequence[bytes], *, timeout_s: float) -> list[dict[str, Any]]:
        """What it makes of each. Raises: _Ended, TemporaryFailure after `timeout_s`; nothing else leaves it running."""
        self._is_late = False  # a watch of before may have struck between the last answer and its end
        watch = threading.Timer(timeout_s, self._stop_late)
        watch.daemon = True
        watch.start()
        try:
            return [self._answer_one(document) for document in documents]
        except _Ended:
            if self._is_late:
                raise TemporaryFailure(f"The papers were not finished within {timeout_s} seconds.") from None
            raise
        except BaseException:
            self._process.kill()
            raise
        finally:
            watch.cancel()

    def _stop_late(self) -> None:
        self._is_late = True
        self._process.kill()

    def _answer_one(self, document: bytes) -> dict[str, Any]:
        assert self._process.stdin and self._process.stdout
        try:
            self._process.stdin.write(document + b"\n")
            self._process.stdin.flush()
        except BrokenPipeError:
            raise _Ended from None
        line = self._process.stdout.readline()
        if not line.endswith(b"\n"):
            raise _Ended
        answer: dict[str, Any] = json.loads(line)
        self.pages += answer["pages"]
        return answer

    def end(self) -> int:
        """Let it go, and wait for it. Returns: its status."""
        assert self._process.stdin and self._process.stdout
        with contextlib.suppress(BrokenPipeError):
            self._process.stdin.close()
        self._process.stdout.close()
        return self._process.wait()

    def last_words(self) -> str:
        """The end of what it complained of."""
        self._errors.seek(max(0, self._errors.seek(0, os.SEEK_END) - 2000))
        return self._errors.read().decode(errors="replace")


_idle: list[_Child] = []
_lock = threading.Lock()


def make(documents: Sequence[bytes], *, timeout_s: float) -> list[dict[str, Any]]:
    """
    What a child makes of `documents`, each one line of JSON; order kept.

    Raises: TemporaryFailure, permanent where the machine lacks pango; its message is one sentence.
    """
    environment = child_environment()
    child = _take_idle(environment)
    if child:
        try:
            return _ask(child, documents, timeout_s=timeout_s)
        except _Ended:  # it went to its rest in this moment, or was killed: it says nothing about these documents
            child.end()
    child = _Child(environment)
    try:
        return _ask(child, documents, timeout_s=timeout_s)
    except _Ended:
        status = child.end()
        if status == NO_ENGINE:
            raise TemporaryFailure(MISSING_ENGINE, permanent=True) from None
        log.error("paper engine ended with %s: %s", status, child.last_words())
        raise TemporaryFailure(f"The paper engine stopped by itself (status {status}); the log says more.") from None


def _ask(child: _Child, documents: Sequence[bytes], *, timeout_s: float) -> list[dict[str, Any]]:
    answers = child.answer(documents, timeout_s=timeout_s)
    _give_back(child)
    return answers


def _take_idle(environment: dict[str, str]) -> _Child | None:
    """One that was started in the same environment and lives; those that do not are let go."""
    with _lock:
        known, _idle[:] = list(_idle), []
        fit = [child for child in known if child.is_fit and child.environment == environment]
        _idle.extend(fit[1:])
    for child in known:
        if child not in fit:
            child.end()
    return fit[0] if fit else None


def _give_back(child: _Child) -> None:
    with _lock:
        is_kept = child.is_fit and len(_idle) < KEPT
        if is_kept:
            _idle.append(child)
    if not is_kept:
        child.end()


@atexit.register
def end_idle() -> None:
    """Let all go that wait."""
    with _lock:
        known, _idle[:] = list(_idle), []
    for child in known:
        child.end()


def child_environment() -> dict[str, str]:
    """The parent's, without the site's secrets, and with what makes fonts come out the same every time."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("WALLFUL_")}
    return {**kept, "PYTHONHASHSEED": "0", "SOURCE_DATE_EPOCH": "946684800"}


def _forget() -> None:
    global _lock
    _lock = threading.Lock()  # whoever held it is not in this fork
    _idle.clear()


# A fork has its parent's pipes and must not talk into them; the parent goes on with its children.
os.register_at_fork(after_in_child=_forget)
