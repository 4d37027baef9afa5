"""
A backup taken while people order can be put back elsewhere, whole: same rows, same sums, every figure agreeing.

Stated limits: two backups while four people order without a pause worth the name; 0 differences from the manifest;
everything acknowledged before the backup is in it; back and verified within a minute.
"""

import json
import time
from pathlib import Path

import pytest

from tests.buyers import Buyer
from tests.faults.rush import Rush
from tests.postgres.stack import composed
from tests.processes import laptop, new_database, postgres, run, serving, wait_until
from tests.reliability import record

pytestmark = [pytest.mark.faults, pytest.mark.timeout(600)]
# More than anybody gets to order before the backups are done, however slow the machine: the rush ends with them.
MOST_ORDERS, PAUSE_S, LONGEST_S = 1_500, 0.1, 60.0
BACK = """
import json, os
import django
os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
django.setup()
from campaign.models import CashEntry, Copy, OutboxMessage, Pledge
print(json.dumps({
    "codes": sorted(Pledge.objects.values_list("code", flat=True)),
    "held": Copy.objects.filter(state="held").count(),
    "mails": OutboxMessage.objects.count(),
}))
"""


def backup_in_mid_rush(rush: Rush, env: dict[str, str], folder: Path) -> dict:
    """Two backups while people order; the manifest of the last one."""
    rush.start()
    for number in (1, 2):
        acknowledged = set(rush.codes.values())
        more = len(acknowledged) + 20
        wait_until(lambda least=more: len(rush.codes) >= least, what="orders go on", seconds=180)
        acknowledged = set(rush.codes.values())
        run("manage.py", "backup", str(folder / str(number)), env=env)
        assert len(rush.codes) > len(acknowledged), "nobody ordered while the backup was taken"
    assert not rush.is_over, "the rush was over before the last backup"
    rush.stop()
    rush.wait()
    assert not rush.refused
    manifest = json.loads((folder / "2" / "manifest.json").read_text())
    # What was acknowledged before the backup began is in it: nothing is lost up to that moment.
    assert manifest["rows"]["campaign_pledge"] >= len(acknowledged)
    return manifest | {"acknowledged": acknowledged}


def check_back(env: dict[str, str], manifest: dict, *, folder: Path) -> dict[str, object]:
    started = time.monotonic()
    said = run("manage.py", "restore", str(folder / "2"), env=env)
    seconds = time.monotonic() - started
    assert "0 differences" in said and "All figures agree" in said, said
    assert seconds < LONGEST_S
    rows = json.loads(run("-c", BACK, env=env))
    assert manifest["acknowledged"] <= set(rows["codes"])
    assert len(rows["codes"]) == rows["held"] == manifest["rows"]["campaign_pledge"]
    assert rows["mails"] == manifest["rows"]["campaign_outboxmessage"] >= len(rows["codes"])
    return {
        "orders_in_the_backup": len(rows["codes"]), "acknowledged_and_not_in_it": 0, "differences": 0,
        "seconds_to_be_back": round(seconds, 1),
    }  # fmt: skip


def test_backup_of_a_busy_site_is_put_back_elsewhere(tmp_path: Path):
    env = laptop(tmp_path / "here")
    run("-m", "tests.seed", str(MOST_ORDERS), env=env)
    with serving(env=env, log=tmp_path / "log") as (url, _):
        rush = Rush(buyer=lambda: _opened(Buyer(url)), count=MOST_ORDERS, pause_s=PAUSE_S)
        manifest = backup_in_mid_rush(rush, env, tmp_path / "backups")
    found = check_back(laptop(tmp_path / "there"), manifest, folder=tmp_path / "backups")
    record("11 restore drill (SQLite)", orders=rush.count, **found)


def test_backup_of_a_busy_outgrown_site_is_put_back_elsewhere(tmp_path: Path):
    with postgres() as server, composed(server, tmp_path, copies=MOST_ORDERS) as stack:
        rush = Rush(buyer=stack.buyer, count=MOST_ORDERS, pause_s=PAUSE_S)
        manifest = backup_in_mid_rush(rush, stack.env, tmp_path / "backups")
        with new_database(server) as elsewhere:
            env = stack.env | {"WALLFUL_DATABASE_URL": elsewhere}
            found = check_back(env, manifest, folder=tmp_path / "backups")
            record("11 restore drill (PostgreSQL)", orders=rush.count, **found)


def _opened(buyer: Buyer) -> Buyer:
    buyer.open_form()
    return buyer
