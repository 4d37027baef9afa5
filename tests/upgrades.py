"""A site of an earlier release in its own words, brought to now by its real migrations."""

import sqlite3
from pathlib import Path
from typing import Any

from tests.processes import laptop, run

# `create(model, **values)` and `new_show(code)` with the models as they were after the migration it is brought to.
_OLD_SITE = """
import datetime as d, sys, django
django.setup()
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
upto = [("fulfilment", sys.argv[1])]
executor = MigrationExecutor(connection)
executor.migrate(upto)
apps = executor.loader.project_state(upto).apps
at, on = d.datetime(2026, 3, 1, tzinfo=d.UTC), d.date(2026, 5, 1)
def create(model, **values):
    return apps.get_model(model).objects.create(**values)
def new_show(code):
    return create(
        "campaign.Show", code=code, title=code, venue_name="V", country="DE", hang_on=on, opening_at=at,
        last_day_on=on, opens_at=at, closes_at=at + d.timedelta(days=9), posting_by_on=on, cancel_until_on=on,
    )
"""


def rows_after_upgrade(folder: Path, *, before: str, rows: str, ask: str) -> list[Any]:
    """What the SQL `ask` finds after all migrations, where the program `rows` wrote at the fulfilment one `before`."""
    env = laptop(folder) | {"DJANGO_SETTINGS_MODULE": "config.settings"}
    run("-c", _OLD_SITE + rows, before, env=env)
    run("manage.py", "migrate", "--verbosity", "0", env=env)
    with sqlite3.connect(next(folder.glob("*.sqlite3"))) as database:
        return database.execute(ask).fetchall()
