"""
Nothing acknowledged is lost when processes are killed in the middle of their work.

Stated limits: 200 orders over HTTP while web and worker are killed with -9 fifteen times, and while Redis is away for
ten seconds; at most one repeated mail per kill, told by its Message-ID.
"""

import json
import random
import sqlite3
import time
from collections import Counter
from pathlib import Path

import pytest

from tests.browser.sink import Sink
from tests.buyers import Buyer
from tests.faults.rush import Rush
from tests.postgres.stack import composed
from tests.processes import Program, laptop, postgres, run, serving, wait_until
from tests.reliability import record

pytestmark = [pytest.mark.faults, pytest.mark.timeout(900)]
ORDERS, KILLS = 200, 15
ROWS = """
import json, os, sys, time
import django
os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
django.setup()
from django.utils import timezone
from campaign.models import Copy, OutboxMessage, Pledge
if sys.argv[1:] == ["later"]:
    # As if the two minutes of every lease that a killed process left behind were over. Not of a living one's: it has
    # fifty at a time, and would send what it can then no longer note. While it sends, fewer and fewer are unsent.
    left, unsent = None, OutboxMessage.objects.exclude(state="sent")
    while left != (left := unsent.count()):
        time.sleep(3)
    OutboxMessage.objects.filter(state="sending").update(lease_until_at=timezone.now())
    OutboxMessage.objects.filter(state="pending").update(due_at=timezone.now())
print(json.dumps({
    "codes": list(Pledge.objects.values_list("code", flat=True)),
    "held": Copy.objects.filter(state="held").count(),
    "unsent": OutboxMessage.objects.exclude(state="sent").count(),
    "written": OutboxMessage.objects.count(),
}))
"""


def rows(env: dict[str, str], *, later: bool = False) -> dict:
    return json.loads(run("-c", ROWS, *(["later"] if later else []), env=env))


def check_orders(rush: Rush, env: dict[str, str]) -> None:
    """Every order is acknowledged, recorded once, and has its copy."""
    assert rush.refused == []
    assert len(rush.codes) == rush.count
    found = rows(env)
    assert sorted(found["codes"]) == sorted(rush.codes.values())
    assert found["held"] == found["written"] == rush.count


def check_mails(sink: Sink, rush: Rush, *, kills: int) -> dict[str, int]:
    """Everybody has their mail; a repeat has the Message-ID of the first. Returns the figures."""
    sent_to: Counter[str] = Counter(str(mail["To"]) for mail in sink.mails)
    assert set(sent_to) == set(rush.codes), "somebody has no mail"
    for address, count in sent_to.items():
        ids = {mail["Message-ID"] for mail in sink.mails if mail["To"] == address}
        assert len(ids) == 1, f"{count} mails with {len(ids)} Message-IDs to {address}"
    repeated = sum(count - 1 for count in sent_to.values())
    assert repeated <= kills
    return {"mails": len(sent_to), "mails_lost": len(set(rush.codes) - set(sent_to)), "repeated": repeated}


def all_sent(env: dict[str, str], *, seconds: float = 60.0) -> float:
    return wait_until(lambda: rows(env)["unsent"] == 0, what="every mail is sent", seconds=seconds)


def kill_all_along(rush: Rush, victims: list[Program], *, seed: int) -> list[float]:
    """Kill -9 and start again, fifteen times spread over the rush. Returns when, in seconds from the start."""
    chance = random.Random(seed)
    started = time.monotonic()
    moments = []
    for kill in range(KILLS):
        wanted = (kill + 1) * ORDERS // (KILLS + 2)  # the last one well before the end
        wait_until(lambda least=wanted: len(rush.codes) >= least or rush.is_over, what="orders go on", seconds=180)
        assert not rush.is_over, "the rush was over before the last kill"
        time.sleep(chance.uniform(0.0, 0.4))
        victim = victims[kill % len(victims)]
        assert victim.is_running, victim.said
        victim.kill()
        moments.append(time.monotonic() - started)
        victim.start()
    return moments


def test_site_on_one_machine_loses_nothing_when_it_is_killed(tmp_path: Path):
    sink = Sink()
    env = laptop(tmp_path, smtp_port=sink.port)
    run("-m", "tests.seed", str(ORDERS + 50), env=env)
    try:
        with serving(env=env, log=tmp_path / "log") as (url, site):
            rush = Rush(buyer=lambda: open_form(Buyer(url)), count=ORDERS, pause_s=0.1)
            rush.start()
            moments = kill_all_along(rush, [site], seed=7)
            rush.wait()
            check_orders(rush, env)
            rows(env, later=True)
            all_sent(env, seconds=120)
            found = check_mails(sink, rush, kills=KILLS)
        record("7 random kills (SQLite)", **figures(rush, moments), **found)
    finally:
        sink.close()
    with sqlite3.connect(tmp_path / "wallful.sqlite3") as database:
        assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    assert "All figures agree" in run("manage.py", "verify", env=env)


def figures(rush: Rush, moments: list[float]) -> dict[str, object]:
    """What came of a rush; `check_orders` has compared it with the rows by now."""
    return {
        "kills": len(moments), "orders": len(rush.codes), "orders_lost": rush.count - len(rush.codes),
        "tries": rush.tries, "seconds": round(moments[-1]),
    }  # fmt: skip


def open_form(buyer: Buyer) -> Buyer:
    buyer.open_form()
    return buyer


def test_outgrown_site_loses_nothing_when_web_and_worker_are_killed(tmp_path: Path):
    with postgres() as server, composed(server, tmp_path, copies=ORDERS + 50) as stack:
        rush = Rush(buyer=stack.buyer, count=ORDERS, pause_s=0.1)
        rush.start()
        moments = kill_all_along(rush, [stack.programs["web"], stack.programs["worker"]], seed=11)
        rush.wait()
        check_orders(rush, stack.env)
        rows(stack.env, later=True)
        all_sent(stack.env, seconds=120)
        record(
            "7 random kills (PostgreSQL + Redis)",
            **figures(rush, moments),
            **check_mails(stack.sink, rush, kills=KILLS),
        )
        assert "All figures agree" in run("manage.py", "verify", env=stack.env)


def test_redis_away_for_ten_seconds_costs_no_order(tmp_path: Path):
    with postgres() as server, composed(server, tmp_path, copies=100) as stack:
        rush = Rush(buyer=stack.buyer, count=80, people=2, pause_s=0.3)
        rush.start()
        wait_until(lambda: len(rush.codes) >= 5, what="orders go on")
        stack.redis.kill()
        before = len(rush.codes)
        time.sleep(10)
        during = len(rush.codes) - before
        assert not rush.is_over
        stack.redis.start()
        back_at = time.monotonic()
        rush.wait()
        check_orders(rush, stack.env)
        assert rush.tries == rush.count, "an order had to be tried twice"
        assert during >= 5
        # Thirty seconds from when Redis is back; ten at least for what was ordered last.
        all_sent(stack.env, seconds=max(10.0, 30 - (time.monotonic() - back_at)))
        emptied_s = round(time.monotonic() - back_at, 1)
        found = check_mails(stack.sink, rush, kills=0)
        record(
            "10 Redis away (PostgreSQL + Redis)", away_s=10, orders=len(rush.codes), orders_meanwhile=during,
            failed=rush.tries - rush.count, queue_empty_after_s=emptied_s, **found,
        )  # fmt: skip
