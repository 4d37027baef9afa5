"""
A crowd that orders two editions in one go, in either order: all of an order is held or nothing, and nobody deadlocks.

Stated limits: 6 processes × 40 orders for 80 copies of one edition and 60 of the other, on SQLite and on PostgreSQL.
"""

import json
from collections import Counter

import pytest

from tests.processes import at_one_moment, run
from tests.reliability import record

pytestmark = [pytest.mark.load, pytest.mark.timeout(600)]
PROCESSES, ATTEMPTS, LARGE, SMALL = 6, 40, 80, 60


def test_orders_of_two_editions_hold_both_or_neither(env, tmp_path, request):
    run("-m", "tests.seed", str(LARGE), env=env)
    go = tmp_path / "go"
    command = ["-m", "tests.load.two_editions", str(go)]
    run(*command, "seed", str(SMALL), env=env)
    said = at_one_moment({f"p{n}": [*command, f"p{n}", str(ATTEMPTS)] for n in range(PROCESSES)}, go=go, env=env)
    results = [json.loads(line) for out in said.values() for line in out.splitlines()]
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
