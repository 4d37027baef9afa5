"""
Whatever is done to orders and money, in whatever order, rows and cash book agree with a model of plain numbers.

Stated limits: 200 runs of 30 acts, half of them on SQLite and half on PostgreSQL, side by side, and more where an act
came too seldom; every kind of act at least 50 times, no disagreement. The seed changes every day and is printed.
"""

import contextlib
import json
import time
from collections import Counter
from datetime import UTC, datetime

import pytest

from tests.processes import environment, laptop, new_database, postgres, running
from tests.reliability import record

pytestmark = [pytest.mark.faults, pytest.mark.timeout(900)]
RUNS, MORE_RUNS, ROUNDS, ACTS, LEAST = 100, 15, 8, 30, 50
# Outcomes, not acts of their own.
RARE = {"cancel, too late", "join, copies are free", "place, closed", "place, too few copies"}


def run_side_by_side(envs: dict[str, dict[str, str]], *, runs: int, seed: int) -> tuple[Counter[str], dict[str, str]]:
    """How often each act was done, and what the engines that broke have to say."""
    fired: Counter[str] = Counter()
    broken = {}
    command = ["-m", "tests.faults.run_machine", str(runs), str(ACTS)]
    with contextlib.ExitStack() as stack:
        begun = {
            engine: stack.enter_context(running({"machine": [*command, str(seed + number)]}, env=env))["machine"]
            for number, (engine, env) in enumerate(envs.items())
        }
        for engine, process in begun.items():
            try:
                fired += Counter(json.loads(process.result(800)))
            except AssertionError as error:
                broken[engine] = str(error)[-6_000:]
    return fired, broken


def rare(fired: Counter[str]) -> dict[str, int]:
    return {name: times for name, times in fired.items() if times < LEAST and name not in RARE}


def test_rows_and_cash_book_agree_with_the_model_whatever_is_done(tmp_path):
    seed, started = datetime.now(UTC).toordinal(), time.monotonic()
    with postgres() as server, new_database(server, is_migrated=True) as address:
        envs = {
            "SQLite": laptop(tmp_path),
            "PostgreSQL": environment({"WALLFUL_DATABASE_URL": address, "WALLFUL_DATA": str(tmp_path)}),
        }
        fired, broken = run_side_by_side(envs, runs=RUNS, seed=seed)
        runs, rounds = RUNS, 1
        while not broken and rare(fired) and rounds < ROUNDS:
            more, broken = run_side_by_side(envs, runs=MORE_RUNS, seed=seed + 1_000 * rounds)
            fired, runs, rounds = fired + more, runs + MORE_RUNS, rounds + 1
    record(
        "4 any order of acts (SQLite and PostgreSQL)",
        runs=runs * len(envs), acts_each=ACTS, violations=len(broken), seed=seed,
        seconds=round(time.monotonic() - started), fired=dict(sorted(fired.items())),
    )  # fmt: skip
    assert not broken, "\n".join(broken.values())
    assert not rare(fired), f"too seldom: {rare(fired)}"
