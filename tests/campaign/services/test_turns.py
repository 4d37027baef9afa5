"""Orders on SQLite wait in line; whoever dies in it, and whatever the disk says, holds nobody up."""

import fcntl
import subprocess
import sys
import threading
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

from campaign.services import turns

HOLD = (
    "import fcntl, sys, time; line = open(sys.argv[1], 'ab'); fcntl.flock(line, fcntl.LOCK_EX); print(1, flush=True);"
)


@pytest.fixture
def database(tmp_path, monkeypatch):
    """What the line asks of a connection: here a database in a file, and nobody's transaction."""
    name = str(tmp_path / "site.sqlite3")
    found = SimpleNamespace(vendor="sqlite", in_atomic_block=False, settings_dict={"NAME": name})
    monkeypatch.setattr(turns, "connection", found)
    return found


@pytest.fixture
def file(database):
    """The file that is locked."""
    return Path(f"{database.settings_dict['NAME']}-turns")


def is_free(file) -> bool:
    with file.open("ab") as line:
        try:
            fcntl.flock(line, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True


def test_turn_is_ones_own_until_it_ends(file):
    with turns.in_turn():
        assert not is_free(file)
    assert is_free(file)


def test_turn_ends_with_a_refusal(file):
    with pytest.raises(ValueError, match="sold out"), turns.in_turn():
        raise ValueError("sold out")
    assert is_free(file)


def test_second_waits_until_the_first_is_done(file):
    done: list[str] = []

    def second() -> None:
        with turns._line():
            done.append("second")

    with turns.in_turn():
        thread = threading.Thread(target=second)
        thread.start()
        time.sleep(0.1)
        done.append("first")
    thread.join(10)
    assert done == ["first", "second"]


def test_turn_of_a_killed_process_is_over(file):
    command = [sys.executable, "-c", HOLD, str(file)]
    with subprocess.Popen(command, stdout=subprocess.PIPE) as process:
        process.stdout.readline()
        assert not is_free(file)
        process.kill()
    with turns.in_turn():
        assert not is_free(file)


def test_place_that_is_no_file_keeps_nobody_from_ordering(file):
    file.mkdir()
    with turns.in_turn():
        assert file.is_dir()


def test_database_in_memory_other_engines_and_steps_within_a_transaction_have_no_line(file, database):
    for name, value in (("vendor", "postgresql"), ("in_atomic_block", True)):
        before = getattr(database, name)
        setattr(database, name, value)
        with turns.in_turn():
            assert not file.exists()
        setattr(database, name, before)
    database.settings_dict["NAME"] = "file:memorydb_default?mode=memory&cache=shared"
    with turns.in_turn():
        assert list(file.parent.iterdir()) == []
