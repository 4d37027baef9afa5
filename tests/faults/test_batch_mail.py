"""
A batch of news through outbox and worker in bad weather: everybody has it, nobody has another one.

Stated limits: 500 confirmations and 500 news; the mail server is gone at first, then drops every 50th mail's connection
and puts off every 20th; two kills -9, two beats (on SQLite: two sites on one file, each with worker and beat); nothing
lost, at most one repeated mail for each kill, told by its Message-ID.
"""

import contextlib
import json
import sys
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.faults.mail_weather import RoughSink
from tests.postgres.stack import composed
from tests.processes import Program, free_port, laptop, postgres, run, wait_until
from tests.reliability import record

pytestmark = [pytest.mark.faults, pytest.mark.timeout(600)]
PEOPLE, KILLS = 500, 2


@contextlib.contextmanager
def two_sites(folder: Path, sink: RoughSink) -> Iterator[tuple[dict[str, str], list[Program]]]:
    """Two sites on one SQLite file, each with its worker and beat, both to be killed."""
    env = laptop(folder, smtp_port=sink.port)
    run("-m", "tests.seed", "5", env=env)
    run("-m", "tests.faults.batch", "write", str(PEOPLE), env=env)
    sites = [
        Program(sys.executable, "manage.py", "serve", "--port", str(free_port()), env=env, log=folder / f"site-{n}.log")
        for n in (1, 2)
    ]
    try:
        yield env, sites
    finally:
        for site in sites:
            site.stop()


@contextlib.contextmanager
def worker_and_two_beats(folder: Path, sink: RoughSink) -> Iterator[tuple[dict[str, str], list[Program]]]:
    """The processes of the compose file and a second beat; the worker is killed."""
    with postgres() as server, composed(server, folder, copies=5, sink=sink) as stack:
        run("-m", "tests.faults.batch", "write", str(PEOPLE), env=stack.env)
        beat = stack.programs["beat"]
        second = Program(*beat.command, env=beat.env, log=folder / "second-beat.log")
        try:
            yield stack.env, [stack.programs["worker"]]
        finally:
            second.stop()


@pytest.mark.parametrize("engine", ["SQLite", "PostgreSQL + Redis"])
def test_a_batch_arrives_whole_in_bad_weather(engine, tmp_path):
    sink = RoughSink()
    sink.close()  # gone at first
    running = {"SQLite": two_sites, "PostgreSQL + Redis": worker_and_two_beats}[engine]
    with running(tmp_path, sink) as (env, victims):
        started = time.monotonic()
        time.sleep(4)  # two sweeps at least find nobody there
        assert not sink.mails
        sink.reopen()
        resent, left = 0, {"left": 1}

        def time_passes(*, is_all: bool = False) -> int:
            nonlocal resent, left
            left = json.loads(run("-m", "tests.faults.batch", "later", str(int(is_all)), env=env))
            resent += left["resent_by_hand"]
            return left["left"]

        for kill in range(KILLS):
            time_passes()
            wanted = PEOPLE * 2 * (kill + 1) // (KILLS + 2)
            wait_until(lambda least=wanted: len(sink.mails) >= least or time_passes() == 0, what="mails go out")
            victim = victims[kill % len(victims)]
            victim.kill()
            for other in victims:
                other.stop()  # in order: only what the killed one had in hand is in doubt
            time_passes(is_all=True)
            for each in victims:
                each.start()
        wait_until(lambda: time_passes() == 0, what="every mail is sent", seconds=120)
        seconds = time.monotonic() - started
        came = Counter(str(mail["Message-ID"]).strip("<>").partition("@")[0] for mail in sink.mails)
        record(
            f"13 batch mail ({engine})", messages=len(left["ids"]), delivered=len(came),
            lost=len(left["ids"].keys() - came.keys()), twice=came.total() - len(came), kills=KILLS,
            connections_dropped=sink.dropped, put_off=sink.put_off, resent_by_hand=resent, seconds=round(seconds, 1),
        )  # fmt: skip
        assert came.keys() == left["ids"].keys()
        assert len(left["ids"]) == 2 * PEOPLE
        assert came.total() - len(came) <= KILLS
        per_person = Counter(str(mail["To"]) for mail in {str(m["Message-ID"]): m for m in sink.mails}.values())
        assert set(per_person.values()) == {2}
        assert sink.dropped >= PEOPLE * 2 // 50 and sink.put_off >= PEOPLE * 2 // 25
        assert "All figures agree" in run("manage.py", "verify", env=env)
    with contextlib.suppress(RuntimeError, AssertionError):
        sink.close()
