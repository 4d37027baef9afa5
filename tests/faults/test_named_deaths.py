"""
Wherever in a campaign's life a process dies, the next one brings everything to the end of an undisturbed run.

Stated limits: 17 named points, each on SQLite and on PostgreSQL; the same rows in every table, every check of `verify`,
no mail lost, at most one mail twice and that with the same Message-ID.
"""

import contextlib
import json
import queue
import shutil
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.browser.sink import Sink
from tests.faults.crash_points import POINTS
from tests.fulfilment.conftest import PLAIN
from tests.processes import ROOT, environment, laptop, name_of, new_database, postgres, run
from tests.reliability import record

pytestmark = [pytest.mark.faults, pytest.mark.timeout(600)]
AT_ONCE = 2
KILLED = -signal.SIGKILL
Copies = Callable[[str], contextlib.AbstractContextManager[str]]


@dataclass
class Stage:
    """Where lives are lived: the settings, and a fresh copy of the seeded database for each name."""

    env: dict[str, str]
    copy: Copies
    sink: Sink


@pytest.fixture
def paper_engine(tmp_path: Path) -> Path:
    """A quick stand-in for WeasyPrint: what a paper looks like is no matter here."""
    folder = tmp_path / "engine"
    (folder / "weasyprint" / "text").mkdir(parents=True)
    (folder / "weasyprint" / "__init__.py").write_text(PLAIN)
    (folder / "weasyprint" / "urls.py").write_text("from weasyprint import URLFetcher")
    (folder / "weasyprint" / "text" / "__init__.py").write_text("")
    (folder / "weasyprint" / "text" / "fonts.py").write_text("from weasyprint import FontConfiguration")
    return folder


@pytest.fixture(params=["SQLite", "PostgreSQL"])
def stage(request, tmp_path: Path, paper_engine: Path) -> Iterator[Stage]:
    with contextlib.ExitStack() as stack:
        sink = Sink()
        stack.callback(sink.close)
        env = laptop(tmp_path, smtp_port=sink.port)
        env["PYTHONPATH"] = f"{paper_engine}:{ROOT}"

        @contextlib.contextmanager
        def copied_file(name: str) -> Iterator[str]:
            (tmp_path / name).mkdir()
            yield str(shutil.copyfile(tmp_path / "wallful.sqlite3", tmp_path / name / "wallful.sqlite3"))

        copy: Copies = copied_file
        if request.param == "PostgreSQL":
            server = stack.enter_context(postgres())
            seeded = stack.enter_context(new_database(server, is_migrated=True))
            env |= environment({"WALLFUL_DATABASE_URL": seeded, "PYTHONPATH": env["PYTHONPATH"]})

            @contextlib.contextmanager
            def copied_database(name: str) -> Iterator[str]:
                (tmp_path / name).mkdir()
                with new_database(server, like=seeded) as address:
                    yield name_of(address)

            copy = copied_database
        run("-m", "tests.faults.life", "seed", env=env)
        yield Stage(env, copy, sink)


class Lives:
    """A program that lives lives, one after the other."""

    def __init__(self, env: Mapping[str, str], log: Path) -> None:
        with log.open("ab") as errors:
            self._program = subprocess.Popen(
                [sys.executable, "-m", "tests.faults.life"], cwd=ROOT, env=dict(env), text=True,
                stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=errors,
            )  # fmt: skip

    def live(self, **wish: object) -> int:
        """The status with which the process of one life ended."""
        self._program.stdin.write(json.dumps(wish) + "\n")
        self._program.stdin.flush()
        return int(self._program.stdout.readline() or 99)

    def close(self) -> None:
        self._program.stdin.close()
        self._program.wait(30)


def test_every_death_ends_as_an_undisturbed_run(stage, tmp_path, request):
    started = time.monotonic()
    log = tmp_path / "log"
    idle: queue.SimpleQueue[Lives] = queue.SimpleQueue()
    for _ in range(AT_ONCE):
        idle.put(Lives(stage.env, log))

    def live_twice(point: str) -> dict:
        """A life that dies at `point` (none: an undisturbed one), and the next in the same database."""
        folder = f"{list(POINTS).index(point):02}" if point else "undisturbed"
        lives = idle.get()
        try:
            with stage.copy(folder) as database:
                wish = {"database": database, "folder": str(tmp_path / folder)}
                first = lives.live(**wish, hours=0, point=point)
                second = lives.live(**wish, hours=1, point="")
            assert second == 0, log.read_text()
            return json.loads((tmp_path / folder / "tables.json").read_text()) | {"first": first}
        finally:
            idle.put(lives)

    with ThreadPoolExecutor(AT_ONCE) as pool:
        undisturbed, *ends = pool.map(live_twice, ["", *POINTS])
    for _ in range(AT_ONCE):
        idle.get().close()
    came = Counter(str(mail["Message-ID"]).strip("<>").partition("@")[0] for mail in stage.sink.mails)
    found = dict(zip(POINTS, ends, strict=True))
    different = {
        point: [name for name, rows in undisturbed["tables"].items() if rows != end["tables"][name]]
        for point, end in found.items()
        if end["tables"] != undisturbed["tables"]
    }
    twice = {point: sum(came[uid] - 1 for uid in end["message_ids"]) for point, end in found.items()}
    record(
        f"8 named crash points ({request.node.callspec.params['stage']})",
        points=len(found), died=sum(end["first"] == KILLED for end in ends), different_ends=len(different),
        mails_lost=sum(came[uid] == 0 for end in ends for uid in end["message_ids"]),
        mails_twice=sum(twice.values()), seconds=round(time.monotonic() - started, 1),
    )  # fmt: skip
    assert undisturbed["first"] == 0
    assert undisturbed["tables"]["campaign.FixedPlan"] and undisturbed["tables"]["campaign.Paper"]
    assert {point: end["first"] for point, end in found.items() if end["first"] != KILLED} == {}, "was not reached"
    assert different == {}
    assert [end["differences"] for end in ends if end["differences"] or end["unsent"]] == []
    assert all(came[uid] >= 1 for end in [undisturbed, *ends] for uid in end["message_ids"])
    assert {point for point, count in twice.items() if count} == {"mail taken by the server, row not moved on"}
    assert max(twice.values()) == 1
