"""
A crowd and too few copies: exactly the edition is sold, every number once, nobody is sent away while a copy is free.

Stated limits: 8 processes × 60 attempts for 100 copies, on SQLite in a file and on PostgreSQL, through the service, 99
of 100 attempts answered within 3 s; over HTTP in test_many_buyers_over_http.py. One submit × 50 at the same moment is
one order and one mail.
"""

import contextlib
import json
import uuid
from collections import Counter
from pathlib import Path

import pytest

from tests.alone import alone
from tests.processes import at_one_moment, run
from tests.reliability import record, times

pytestmark = [pytest.mark.load, pytest.mark.timeout(600)]
PROCESSES, ATTEMPTS, COPIES = 8, 60, 100
MOST_P99_MS = 3_000
# The number in the reliability table, by engine; and the engine as people spell it.
TABLE = {"sqlite": ("1", "SQLite"), "postgresql": ("2", "PostgreSQL")}
COUNT = (
    "import os, django, json; os.environ['DJANGO_SETTINGS_MODULE'] = 'config.settings'; django.setup();"
    "from campaign.models import Copy, OutboxMessage, Pledge; print(json.dumps({"
    "'free': Copy.objects.filter(state='free').count(), 'held': Copy.objects.filter(state='held').count(),"
    "'pledges': Pledge.objects.count(), 'mails': OutboxMessage.objects.count()}))"
)


def crowd(
    env: dict[str, str], tmp_path: Path, *, processes: int, attempts: int, key: str = "",
    undisturbed: contextlib.AbstractContextManager[None] | None = None,
) -> list[dict]:  # fmt: skip
    """Start the processes, let them go at one moment, and gather what they report."""
    go = tmp_path / "go"
    wish = [str(attempts), *([key] if key else [])]
    commands = {f"p{n}": ["-m", "tests.load.crowd", str(go), f"p{n}", *wish] for n in range(processes)}
    said = at_one_moment(commands, go=go, env=env, undisturbed=undisturbed)
    return [json.loads(line) for out in said.values() for line in out.splitlines()]


def test_crowd_buys_exactly_the_edition(env, tmp_path, request):
    run("-m", "tests.seed", str(COPIES), env=env)
    results = crowd(env, tmp_path, processes=PROCESSES, attempts=ATTEMPTS, undisturbed=alone())
    whole = max(r["ended"] for r in results) - min(r["started"] for r in results)
    numbers = [number for r in results for number in r["numbers"]]
    sold = sorted(r["started"] for r in results if r["result"] == "sold")
    first_refusal = min((r["ended"] for r in results if r["result"] == "sold out"), default=0.0)
    number, engine = TABLE[request.node.callspec.id]
    waited = times([r["ended"] - r["started"] for r in results])
    record(
        f"{number} oversell in processes ({engine})",
        attempts=len(results), sold=len(sold), distinct_numbers=len(set(numbers)),
        failed=sum(r["result"] not in ("sold", "sold out") for r in results),  # "database is locked" would be one
        false_sold_out=sum(started > first_refusal for started in sold), seconds=round(whole, 1), **waited,
    )  # fmt: skip
    assert Counter(r["result"] for r in results) == {"sold": COPIES, "sold out": PROCESSES * ATTEMPTS - COPIES}
    assert sorted(numbers) == list(range(1, COPIES + 1))
    assert waited["p99_ms"] <= MOST_P99_MS
    # A copy whose buyer had not even begun was certainly free: nobody may have been sent away before that.
    assert sold[-1] <= first_refusal, "somebody was told “sold out” while a copy was free"
    assert json.loads(run("-c", COUNT, env=env)) == {"free": 0, "held": COPIES, "pledges": COPIES, "mails": COPIES}
    assert "All figures agree" in run("manage.py", "verify", env=env)


def test_one_submit_fifty_times_at_once_is_one_order_and_one_mail(env, tmp_path, request):
    run("-m", "tests.seed", "20", env=env)
    results = crowd(env, tmp_path, processes=10, attempts=5, key=str(uuid.uuid4()))
    whole = max(r["ended"] for r in results) - min(r["started"] for r in results)
    counted = json.loads(run("-c", COUNT, env=env))
    record(
        f"3 double submit ({TABLE[request.node.callspec.id][1]})",
        submits=len(results), orders=counted["pledges"], mails=counted["mails"],
        different_answers=len({(r["result"], r["code"]) for r in results}), seconds=round(whole, 1),
        **times([r["ended"] - r["started"] for r in results]),
    )  # fmt: skip
    assert Counter(r["result"] for r in results) == {"sold": 50}
    assert len({r["code"] for r in results}) == 1
    assert {tuple(r["numbers"]) for r in results} == {(1,)}
    assert counted == {"free": 19, "held": 1, "pledges": 1, "mails": 1}
