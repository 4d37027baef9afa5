"""
A disk that is full, a file that may not grow, a disk or a server that only reads, a server that is gone.

Stated limits: whoever orders meanwhile reads in plain words that nothing was recorded (503), nothing is half done, and
the same submit goes through as soon as writing works again.
"""

import contextlib
import resource
import subprocess
import time
import urllib.error
import urllib.request
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import psycopg
import pytest

from tests.browser.sink import Sink
from tests.buyers import Buyer, NotAcknowledged
from tests.faults.test_killed_processes import all_sent, rows
from tests.postgres.stack import web_only
from tests.processes import environment, laptop, name_of, new_database, postgres, run, serving, wait_until
from tests.reliability import record

pytestmark = [pytest.mark.faults, pytest.mark.timeout(300)]
NO_MOUNT = "a small disk is mounted by root only; test_a_file_that_may_not_grow says the same of SQLite's file"
DISK_BYTES = 12_000_000
# Less than any write of SQLite's own needs, more than nothing: what was written before stays readable.
GROWS_TO = 4_096


@dataclass
class Door:
    """A visitor who orders before, during and after; `codes` are the acknowledged orders."""

    url: str
    codes: list[str]

    def __post_init__(self) -> None:
        self.buyer = Buyer(self.url)
        self.buyer.open_form()

    def order(self) -> None:
        """One that must go through."""
        self.codes.append(self.buyer.order(email=f"ok-{len(self.codes)}@example.org", key=uuid.uuid4()))

    def meets(self, mend: Callable[[], object]) -> dict[str, object]:
        """Send one submit again and again while nothing can be written, and after `mend`. Returns the figures."""
        key, email = uuid.uuid4(), f"late-{len(self.codes)}@example.org"
        statuses = [self._refused(key=key, email=email) for _ in range(3)]
        page = reads(self.url)
        mend()
        started = time.monotonic()
        wait_until(lambda: self._goes_through(key=key, email=email), what="the order goes through", seconds=20)
        recovers_s = round(time.monotonic() - started, 1)
        assert self.buyer.order(email=email, key=key) == self.codes[-1]
        return {"refused_with": statuses, "half_orders": 0, "page": page, "recovers_s": recovers_s}

    def _refused(self, *, key: uuid.UUID, email: str) -> int:
        """The status of an answer that says in words that nothing was recorded."""
        with pytest.raises(NotAcknowledged) as refused:
            self.buyer.order(email=email, key=key)
        assert refused.value.status == 503, refused.value
        assert "Nothing can be written down right now." in refused.value.words
        return refused.value.status

    def _goes_through(self, *, key: uuid.UUID, email: str) -> bool:
        with contextlib.suppress(NotAcknowledged):
            self.codes.append(self.buyer.order(email=email, key=key))
            return True
        return False


def reads(url: str) -> int:
    """The status of the public page: SQLite may have to write before it can read, then it is our 503 too."""
    try:
        with urllib.request.urlopen(f"{url}/show/tideline/", timeout=10) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as error:
        assert error.code == 503
        return error.code


@contextlib.contextmanager
def small_disk(folder: Path) -> Iterator[Path]:
    """A disk of its own, a few megabytes."""
    folder.mkdir()
    options = ["-t", "tmpfs", "-o", f"size={DISK_BYTES}", "tmpfs", str(folder)]
    if subprocess.run(["mount", *options], capture_output=True).returncode:
        pytest.skip(NO_MOUNT)
    try:
        yield folder
    finally:
        subprocess.run(["umount", "--lazy", str(folder)], check=True)


def fill(disk: Path) -> Path:
    """A file that takes what is left."""
    filler = disk / "filler"
    with contextlib.suppress(OSError), filler.open("wb", buffering=0) as file:
        while True:
            file.write(b"\0" * 4_096)
    return filler


def check_whole(door: Door, env: dict[str, str]) -> None:
    """The acknowledged orders are there with their copies, nothing else is."""
    found = rows(env)
    assert sorted(found["codes"]) == sorted(door.codes)
    assert found["held"] == found["written"] == len(door.codes)
    assert "All figures agree" in run("manage.py", "verify", env=env)


def test_a_disk_that_is_full_and_one_that_only_reads(tmp_path):
    with small_disk(tmp_path / "disk") as disk, contextlib.closing(Sink()) as sink:
        env = laptop(disk, smtp_port=sink.port)
        run("-m", "tests.seed", "20", env=env)
        with serving(env=env, log=tmp_path / "log") as (url, _):
            door = Door(url, [])
            door.order()
            filler = fill(disk)
            full = door.meets(lambda: filler.unlink())

            def remounted(how: str) -> bool:  # "busy" while anybody has a file open for writing
                return subprocess.run(["mount", "-o", f"remount,{how}", str(disk)], capture_output=True).returncode == 0

            wait_until(lambda: remounted("ro"), what="the disk is read-only", seconds=30)
            read_only = door.meets(lambda: remounted("rw"))
            rows(env, later=True)
            mails_s = all_sent(env)
            check_whole(door, env)
    record("12 full disk (SQLite)", **full, mail_goes_out_s=round(mails_s, 1))
    record("12 disk that only reads (SQLite)", **read_only)


def test_a_file_that_may_not_grow(tmp_path):
    env = laptop(tmp_path)
    run("-m", "tests.seed", "20", env=env)
    with serving(env=env, log=tmp_path / "log") as (url, site):
        door = Door(url, [])
        door.order()
        before = site.limit(resource.RLIMIT_FSIZE, GROWS_TO)
        found = door.meets(lambda: site.limit(resource.RLIMIT_FSIZE, before))
        check_whole(door, env)
    record("12 file that may not grow (SQLite)", **found)


def test_a_server_that_only_reads_and_one_that_is_gone(tmp_path):
    with postgres() as server, new_database(server, is_migrated=True) as address:
        own = {"WALLFUL_DATABASE_URL": address, "WALLFUL_ORDERS_PER_HOUR": "1000", "WALLFUL_DATA": str(tmp_path)}
        env, name = environment(own), name_of(address)
        run("-m", "tests.seed", "20", env=env)

        def change(how_from_now: str) -> None:
            with psycopg.connect(server, autocommit=True) as connection:
                connection.execute(f"ALTER DATABASE {name} {how_from_now}")
                connection.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s", [name])

        with web_only(env, tmp_path, processes=2) as (url, _):
            door = Door(url, [])
            door.order()
            change("SET default_transaction_read_only = on")
            read_only = door.meets(lambda: change("RESET default_transaction_read_only"))
            change("ALLOW_CONNECTIONS false")
            gone = door.meets(lambda: change("ALLOW_CONNECTIONS true"))
            check_whole(door, env)
    record("12 server that only reads (PostgreSQL)", **read_only)
    record("12 server that is gone (PostgreSQL)", **gone)
    assert read_only["page"] == 200
