"""Shows from before the rule on series keep hanging as they did: a real upgrade in a process of its own."""

import sqlite3

import pytest

from tests.processes import laptop, run

BEFORE, WITH_RULE = "0005_copy_knows_that_it_is_packed", "0006_costs_walls_and_days_as_they_are"
# In the words of the code of that time: the models as they were at `upto`.
OLD_SITE = """
import datetime as d, sys, django
django.setup()
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
upto = [("campaign", sys.argv[1])]
executor = MigrationExecutor(connection)
executor.migrate(upto)
Show = executor.loader.project_state(upto).apps.get_model("campaign", "Show")
at, on = d.datetime(2026, 3, 1, tzinfo=d.UTC), d.date(2026, 5, 1)
Show.objects.create(
    code="old", title="Old", venue_name="V", country="DE", hang_on=on, opening_at=at, last_day_on=on, opens_at=at,
    closes_at=at + d.timedelta(days=9), posting_by_on=on, cancel_until_on=on,
)
"""


@pytest.mark.parametrize(
    ("upto", "shares"),
    [
        pytest.param(BEFORE, False, id="from before the rule, in one run"),
        pytest.param(WITH_RULE, True, id="the artist may have seen the rule"),
    ],
)
def test_an_old_show_keeps_its_series_as_far_as_it_can_be_told(tmp_path, upto, shares):
    env = laptop(tmp_path) | {"DJANGO_SETTINGS_MODULE": "config.settings"}
    run("-c", OLD_SITE, upto, env=env)
    run("manage.py", "migrate", "--verbosity", "0", env=env)
    with sqlite3.connect(next(tmp_path.glob("*.sqlite3"))) as database:
        assert database.execute("SELECT series_share_finish FROM campaign_show").fetchall() == [(shares,)]
