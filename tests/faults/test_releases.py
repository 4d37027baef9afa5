"""
Migrations: from nothing to now, from an older release with people's orders in it to now, and back.

Stated limits: no model without its migration; after the upgrade every check of `verify` agrees, on SQLite and on
PostgreSQL; there the way back leaves the older release's tables as they were, and forward again they agree once more.
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


def test_an_older_release_with_orders_comes_to_now(env, request):
    run("-m", "tests.faults.old_release", "write", env=env)
    before = tables(env)
    started = time.monotonic()
    run("manage.py", "migrate", "--noinput", env=env)
    figures = {"rows": sum(map(len, before.values())), "seconds_up": round(time.monotonic() - started, 1)}
    assert "No changes detected" in run("manage.py", "makemigrations", "--check", "--dry-run", env=env)
    said = run("manage.py", "verify", env=env)
    different = []
    if engine_of(request) == "PostgreSQL":  # SQLite copies every table that changes: minutes of the same
        for app, name in RELEASE[::-1]:
            run("manage.py", "migrate", "--noinput", app, name, env=env)
        after = tables(env)
        different = [name for name, kept in before.items() if kept != after[name]]
        figures["differ_after_the_way_back"] = len(different)
        run("manage.py", "migrate", "--noinput", env=env)
        assert run("manage.py", "verify", env=env) == said
    record(f"19 older release to now ({engine_of(request)})", drift=0, **figures)
    assert "All figures agree" in said
    assert figures["rows"] >= 20
    assert different == []


def engine_of(request) -> str:
    """SQLite or PostgreSQL."""
    return request.node.callspec.params["env"]
