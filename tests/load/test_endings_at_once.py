"""
Money back and endings from several processes at one moment, on SQLite in a file and on PostgreSQL.

Stated limits: 8 processes; what goes back is never more than what came, every act happens once, `verify` agrees.
"""

import json
from collections import Counter
from pathlib import Path

import pytest

from tests.processes import at_one_moment, run
from tests.reliability import record

pytestmark = [pytest.mark.load, pytest.mark.timeout(600)]
ENGINES = {"sqlite": "SQLite", "postgresql": "PostgreSQL"}
HEAD = (
    "import os, django, json; os.environ['DJANGO_SETTINGS_MODULE'] = 'config.settings'; django.setup();"
    "from django.utils import timezone; from django.db.models import Sum;"
    "from campaign.models import *; from campaign.queries.money import received_for;"
    "from campaign.services import refunds; from campaign.services.calling_off import end_orders;"
    "from campaign.services.owing import promised_back; from tests.builders import pay, place;"
    "show = Show.objects.get(); now = timezone.now();"
)


@pytest.fixture
def env(env: dict[str, str]) -> dict[str, str]:
    """With a small open show in it."""
    run("-m", "tests.seed", "20", env=env)
    return env


def say(code: str, env: dict[str, str]) -> dict:
    out = run("-c", f"{HEAD} {code}", env=env)
    return json.loads(out.splitlines()[-1]) if out.strip() else {}


def at_once(env: dict[str, str], tmp_path: Path, acts: list[str]) -> Counter[str]:
    """Start a process for each act, let them go at one moment, and count what came of them."""
    go = tmp_path / "go"
    commands = {f"n{n}": ["-m", "tests.load.endings", str(go), f"n{n}", act] for n, act in enumerate(acts)}
    said = at_one_moment(commands, go=go, env=env, seconds=120)
    return Counter(f"{act}: {out}" for act, out in zip(acts, said.values(), strict=True))


SUMS = (
    "p = Pledge.objects.order_by('pk').first(); print(json.dumps({'received': received_for(p),"
    "'promised': promised_back(p), 'total': p.total_minor, 'state': p.state, 'rows': Refund.objects.count(),"
    "'given': CashEntry.objects.filter(debit='refunds').count(),"
    "'told': OutboxMessage.objects.filter(name='refund_made').count()}))"
)


def test_eight_who_owe_all_owe_it_once(env, tmp_path, request):
    say("pay(place(show, now=now), now=now)", env)
    said = at_once(env, tmp_path, ["owe"] * 8)
    assert said == {"owe: done": 1, "owe: MoreThanReceived": 7}
    sums = say(SUMS, env)
    record(
        f"money back at once ({ENGINES[request.node.callspec.id]})", processes=8, owed_minor=sums["promised"],
        received_minor=sums["received"], rows=sums["rows"],
    )  # fmt: skip
    assert (sums["promised"], sums["rows"]) == (sums["total"], 1)
    assert "All figures agree" in run("manage.py", "verify", env=env)


def test_giving_by_hand_and_settling_at_once_gives_once(env, tmp_path):
    say(
        "p = place(show, now=now); pay(p, now=now);"
        "refunds.owe_refund(pledge=p, amount_minor=p.total_minor, key='k', reason='r', now=now)", env,
    )  # fmt: skip
    said = at_once(env, tmp_path, ["settle", "give"] * 4)
    sums = say(SUMS, env)
    assert (sums["received"], sums["promised"], sums["given"], sums["told"]) == (0, 0, 1, 1), said
    assert "All figures agree" in run("manage.py", "verify", env=env)


def test_calling_off_while_people_order_and_pay(env, tmp_path, request):
    say("place(show, now=now)", env)
    said = at_once(env, tmp_path, ["order", "pay", "call-off", "order", "call-off", "order", "pay", "order"])
    assert said["call-off: done"] == 2
    end = (
        "[end_orders(now=now) for _ in range(3)];"
        "print(json.dumps({'alive': Pledge.objects.filter(state__in=['held', 'paid']).count(),"
        "'bound': Copy.objects.exclude(state='free').count(), 'jobs': Job.objects.filter(kind='refunds').count(),"
        "'orders': Pledge.objects.count(), 'letters': OutboxMessage.objects.filter(name='show_called_off').count(),"
        "'came': CashEntry.objects.filter(credit='orders').aggregate(s=Sum('amount_minor', default=0))['s'],"
        "'owed': Refund.objects.filter(state='owed').aggregate(s=Sum('amount_minor', default=0))['s']}))"
    )
    found = say(end, env)
    record(f"endings at once ({ENGINES[request.node.callspec.id]})", processes=sum(said.values()), **found)
    assert (found["alive"], found["bound"], found["jobs"]) == (0, 0, 1)
    assert found["owed"] == found["came"]
    assert found["letters"] == found["orders"]
    assert "All figures agree" in run("manage.py", "verify", env=env)
