"""
Migrations: from nothing to now, from an older release with people's orders in it to now, and back.

Stated limits: no model without its migration; after the upgrade every check of `verify` agrees; the way back leaves the
older release's tables as they were, and forward again they agree once more. On SQLite and on PostgreSQL.
"""

import contextlib
import json
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.faults.old_release import RELEASE
from tests.processes import environment, laptop, new_database, postgres, run
from tests.reliability import record

pytestmark = [pytest.mark.faults, pytest.mark.timeout(600)]


@pytest.fixture(params=["SQLite", "PostgreSQL"])
def env(request, tmp_path: Path) -> Iterator[dict[str, str]]:
    with contextlib.ExitStack() as stack:
        own = laptop(tmp_path)
        if request.param == "PostgreSQL":
            address = stack.enter_context(new_database(stack.enter_context(postgres())))
            own |= environment({"WALLFUL_DATABASE_URL": address, "WALLFUL_DATA": str(tmp_path)})
        yield own


def tables(env: dict[str, str]) -> dict:
    return json.loads(run("-m", "tests.faults.old_release", "tables", env=env))


def test_an_older_release_with_orders_comes_to_now_and_back(env, request):
    run("-m", "tests.faults.old_release", "write", env=env)
    before = tables(env)
    started = time.monotonic()
    run("manage.py", "migrate", "--noinput", env=env)
    up_s = time.monotonic() - started
    assert "No changes detected" in run("manage.py", "makemigrations", "--check", "--dry-run", env=env)
    said = run("manage.py", "verify", env=env)
    assert "All figures agree" in said
    for app, name in RELEASE[::-1]:
        run("manage.py", "migrate", "--noinput", app, name, env=env)
    after = tables(env)
    run("manage.py", "migrate", "--noinput", env=env)
    again = run("manage.py", "verify", env=env)
    rows = sum(map(len, before.values()))
    different = [name for name, kept in before.items() if kept != after[name]]
    record(
        f"19 older release to now and back ({request.node.callspec.params['env']})", rows=rows, tables=len(before),
        differ_after_the_way_back=len(different), drift=0, seconds_up=round(up_s, 1),
    )  # fmt: skip
    assert rows >= 20
    assert different == [], {name: (before[name], after[name]) for name in different}
    assert said == again
