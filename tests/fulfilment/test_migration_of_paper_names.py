"""Papers that were set up twice under one name keep their rows and get names of their own: a real upgrade."""

import sqlite3

from tests.processes import laptop, run

BEFORE = "0012_certificates_made_by_a_job"
# In the words of the code of that time: the models as they were at `upto`.
OLD_SITE = """
import datetime as d, sys, django
django.setup()
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
upto = [("fulfilment", sys.argv[1])]
executor = MigrationExecutor(connection)
executor.migrate(upto)
apps = executor.loader.project_state(upto).apps
at, on = d.datetime(2026, 3, 1, tzinfo=d.UTC), d.date(2026, 5, 1)
for show in ("one", "two"):
    kept = apps.get_model("campaign", "Show").objects.create(
        code=show, title=show, venue_name="V", country="DE", hang_on=on, opening_at=at, last_day_on=on, opens_at=at,
        closes_at=at + d.timedelta(days=9), posting_by_on=on, cancel_until_on=on,
    )
    for number, name in enumerate(["Rag", "Rag (2)", "rag", "x" * 120, "x" * 120]):
        apps.get_model("fulfilment", "PaperStock").objects.create(
            show=kept, code=f"p{number}", name=name, kind="roll", width_mm=610, pack_mm=10_000, counted_at=at,
        )
"""


def test_papers_of_one_name_get_names_of_their_own(tmp_path):
    env = laptop(tmp_path) | {"DJANGO_SETTINGS_MODULE": "config.settings"}
    run("-c", OLD_SITE, BEFORE, env=env)
    run("manage.py", "migrate", "--verbosity", "0", env=env)
    with sqlite3.connect(next(tmp_path.glob("*.sqlite3"))) as database:
        names = [name for (name,) in database.execute("SELECT name FROM fulfilment_paperstock ORDER BY id")]
    assert names == ["Rag", "Rag (2)", "rag (3)", "x" * 120, "x" * 116 + " (2)"] * 2
