"""
A crowd that orders two editions in one go, in either order: all of an order is held or nothing, and nobody deadlocks.

Stated limits: 6 processes × 40 orders for 80 copies of one edition and 60 of the other, on SQLite and on PostgreSQL.
"""

import json
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from tests.processes import ROOT, run, wait_until
from tests.reliability import record

pytestmark = [pytest.mark.load, pytest.mark.timeout(600)]
PROCESSES, ATTEMPTS, LARGE, SMALL = 6, 40, 80, 60


def test_orders_of_two_editions_hold_both_or_neither(env, tmp_path, request):
    run("-m", "tests.seed", str(LARGE), env=env)
    go = tmp_path / "go"
    command = [sys.executable, "-m", "tests.load.two_editions", str(go)]
    run("-m", "tests.load.two_editions", str(go), "seed", str(SMALL), env=env)
    running = [
        subprocess.Popen([*command, f"p{n}", str(ATTEMPTS)], cwd=ROOT, env=env, stdout=subprocess.PIPE, text=True)
        for n in range(PROCESSES)
    ]
    try:
        ready = [Path(f"{go}.p{n}") for n in range(PROCESSES)]
        wait_until(lambda: all(path.exists() for path in ready), what="every process is ready", seconds=120)
        go.touch()
        results = [json.loads(line) for process in running for line in process.communicate(timeout=300)[0].splitlines()]
    finally:
        for process in running:
            process.kill()
    taken = sorted(tuple(copy) for r in results for copy in r["copies"])
    engine = {"sqlite": ("1", "SQLite"), "postgresql": ("2", "PostgreSQL")}[request.node.callspec.id]
    record(
        f"{engine[0]} oversell of two editions ({engine[1]})",
        attempts=len(results), sold=sum(r["result"] == "sold" for r in results), copies=len(taken),
        distinct_copies=len(set(taken)), failed=sum(r["result"] not in ("sold", "sold out") for r in results),
    )  # fmt: skip
    assert Counter(r["result"] for r in results) == {"sold": SMALL, "sold out": PROCESSES * ATTEMPTS - SMALL}
    expected = [(code, n) for code in ("harbour", "pocket") for n in range(1, SMALL + 1)]
    assert taken == expected  # lowest free first in both, no number twice
    assert "All figures agree" in run("manage.py", "verify", env=env)
