"""
A backup taken while people order can be put back elsewhere, whole: same rows, same sums, every figure agreeing.

Stated limits: backups during 200 orders over HTTP; 0 differences from the manifest; back and verified within a minute.
"""

import json
import time
from pathlib import Path

import pytest

from tests.buyers import Buyer
from tests.faults.rush import Rush
from tests.postgres.stack import composed
from tests.processes import laptop, new_database, postgres, run, serving, wait_until

pytestmark = [pytest.mark.faults, pytest.mark.timeout(600)]
ORDERS, LONGEST_S = 200, 60.0
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
    """Three backups while people order; the manifest of the last one."""
    for share in (1, 2, 3):
        wanted = ORDERS * share // 4
        wait_until(lambda least=wanted: len(rush.codes) >= least or rush.is_over, what="orders go on", seconds=180)
        acknowledged = set(rush.codes.values())
        run("manage.py", "backup", str(folder / str(share)), env=env)
        assert not rush.is_over, "the rush was over before the last backup"
    manifest = json.loads((folder / "3" / "manifest.json").read_text())
    # What was acknowledged before the backup began is in it: nothing is lost up to that moment.
    assert manifest["rows"]["campaign_pledge"] >= len(acknowledged)
    return manifest | {"acknowledged": acknowledged}


def check_back(env: dict[str, str], manifest: dict, *, folder: Path) -> str:
    started = time.monotonic()
    said = run("manage.py", "restore", str(folder / "3"), env=env)
    seconds = time.monotonic() - started
    assert "0 differences" in said and "All figures agree" in said, said
    assert seconds < LONGEST_S
    rows = json.loads(run("-c", BACK, env=env))
    assert manifest["acknowledged"] <= set(rows["codes"])
    assert len(rows["codes"]) == rows["held"] == manifest["rows"]["campaign_pledge"]
    assert rows["mails"] == manifest["rows"]["campaign_outboxmessage"] >= len(rows["codes"])
    return f"{len(rows['codes'])} of {ORDERS} orders in the backup, 0 differences, back in {seconds:.1f} s"


def test_backup_of_a_busy_site_is_put_back_elsewhere(tmp_path: Path):
    env = laptop(tmp_path / "here")
    run("-m", "tests.seed", str(ORDERS + 20), env=env)
    with serving(env=env, log=tmp_path / "log") as (url, _):
        rush = Rush(buyer=lambda: _opened(Buyer(url)), count=ORDERS, pause_s=0.25)
        rush.start()
        manifest = backup_in_mid_rush(rush, env, tmp_path / "backups")
        rush.wait()
    assert not rush.refused
    print(f"\nSQLite: {check_back(laptop(tmp_path / 'there'), manifest, folder=tmp_path / 'backups')}")


def test_backup_of_a_busy_outgrown_site_is_put_back_elsewhere(tmp_path: Path):
    with postgres() as server, composed(server, tmp_path, copies=ORDERS + 20) as stack:
        rush = Rush(buyer=stack.buyer, count=ORDERS, pause_s=0.25)
        rush.start()
        manifest = backup_in_mid_rush(rush, stack.env, tmp_path / "backups")
        rush.wait()
        assert not rush.refused
        with new_database(server) as elsewhere:
            env = stack.env | {"WALLFUL_DATABASE_URL": elsewhere}
            print(f"\nPostgreSQL: {check_back(env, manifest, folder=tmp_path / 'backups')}")


def _opened(buyer: Buyer) -> Buyer:
    buyer.open_form()
    return buyer
