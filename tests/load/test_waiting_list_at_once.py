"""
Lapses, cancellations, offers, buyers and takers at once: never more than the edition, and nobody is overtaken.

Stated limits: 8 processes around 30 copies until 40 orders are cancelled, on SQLite in a file and on PostgreSQL,
through the services; no error, no copy for a buyer while anybody waited, offers in the order of asking.
"""

import itertools
import json
from collections import Counter
from pathlib import Path

import pytest

from tests.processes import at_one_moment, run
from tests.reliability import record, times

pytestmark = [pytest.mark.load, pytest.mark.timeout(600)]
COPIES, CANCELLED = 30, 40
PEOPLE = ("lapse", "lapse", "cancel", "buy", "buy", "take", "take", "join")
HEAD = (
    "import os, django, json; os.environ['DJANGO_SETTINGS_MODULE'] = 'config.settings'; django.setup();"
    "from campaign.models import *; from django.utils import timezone; from campaign.services import waiting;"
)
# Every place with the moments of its asking and of its offer, and the copies as they are in the end.
FOUND = HEAD + (
    "print(json.dumps({"
    "'places': [(w.pk, w.state, w.offered_at and w.offered_at.timestamp()) for w in Waiter.objects.order_by('pk')],"
    "'copies': list(Copy.objects.order_by('number').values_list('number', 'state')),"
    "'told': list(OutboxMessage.objects.filter(name='copies_offered').order_by('pk').values_list('key', flat=True)),"
    "'codes': dict(Waiter.objects.values_list('code', 'pk'))}, default=str))"
)


def at_once(env: dict[str, str], tmp_path: Path) -> list[dict]:
    """Start everybody, let them go at one moment, and gather what they did."""
    go = tmp_path / "go"
    command = ["-m", "tests.load.waiting", str(go)]
    commands = {f"p{n}": [*command, f"p{n}", what, str(CANCELLED)] for n, what in enumerate(PEOPLE)}
    said = at_one_moment(commands, go=go, env=env)
    return [json.loads(line) for out in said.values() for line in out.splitlines()]


def count_quicker(done: list[dict], *, offered: dict[int, float | None]) -> int:
    """Purchases from the page that began after somebody had a place and ended before that place had its offer."""
    bought = [act for act in done if act["result"] == "bought"]
    joined = [(act["ended"], offered[act["place"]]) for act in done if act["result"] == "joined"]
    return sum(
        any(
            asked < act["started"] and (offered_at is None or offered_at > act["ended"]) for asked, offered_at in joined
        )
        for act in bought
    )


def test_copies_that_come_back_go_to_the_line_whoever_is_quicker(env, tmp_path, request):
    run("-m", "tests.seed", str(COPIES), env=env)
    run("-m", "tests.load.waiting", str(tmp_path / "go"), "seed", "", "0", env=env)
    done = at_once(env, tmp_path)
    results = Counter(f"{act['what']}: {act['result']}" for act in done)
    found = json.loads(run("-c", FOUND, env=env).splitlines()[-1])
    # The mails of offers were written in the order of their keys, under the lock of the edition.
    told = [found["codes"][key.rpartition(":")[2]] for key in found["told"]]
    overtaken = sum(later < earlier for earlier, later in itertools.pairwise(told))
    quicker = count_quicker(done, offered={pk: offered_at for pk, _, offered_at in found["places"]})
    errors = {what: n for what, n in results.items() if "error" in what}
    record(
        f"waiting list ({request.node.callspec.id})",
        acts=len(done), offers=len(told), taken=results["take: taken"], let_pass_or_left=sum(
            state in ("lapsed", "left") for _, state, offered_at in found["places"] if offered_at
        ),
        bought_from_the_page=results["buy: bought"], overtaken=overtaken, quicker_buyers=quicker,
        failed=sum(errors.values()), copies=len(found["copies"]),
        **times([act["ended"] - act["started"] for act in done]),
    )  # fmt: skip
    print(dict(sorted(results.items())))
    assert not errors
    assert [number for number, _ in found["copies"]] == list(range(1, COPIES + 1))
    assert overtaken == 0, "somebody was offered a copy before somebody who had asked earlier"
    assert results["cancel: cancelled"] == CANCELLED
    assert min(results["take: taken"], results["buy: bought"], results["lapse: lapsed"]) > 0, results
    assert quicker == 0, "somebody bought from the page while somebody waited"
    waiting_still = [pk for pk, state, _ in found["places"] if state == "waiting"]
    states = Counter(state for _, state in found["copies"])
    assert not (waiting_still and states["free"]), "a copy is free although somebody waits"
    assert "All figures agree" in run("manage.py", "verify", env=env)
