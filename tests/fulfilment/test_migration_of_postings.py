"""Postings from before they knew what they left in are told what their parcel says: a real upgrade."""

import sqlite3

from tests.processes import laptop, run

BEFORE = "0014_paper_names_differ_within_a_show"
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
show = apps.get_model("campaign", "Show").objects.create(
    code="one", title="one", venue_name="V", country="DE", hang_on=on, opening_at=at, last_day_on=on, opens_at=at,
    closes_at=at + d.timedelta(days=9), posting_by_on=on, cancel_until_on=on,
)
size = dict(outer_length_mm=345, outer_width_mm=255, outer_depth_mm=12)
inner = dict(inner_length_mm=330, inner_width_mm=240, inner_depth_mm=8)
mailer = apps.get_model("fulfilment", "Mailer").objects.create(
    show=show, name="Board mailer A4", mass_g=120, price_minor=95, count=30, **inner, **size
)
for number, inside in enumerate([dict(mailer=mailer, **size), {}], start=1):
    parcel = apps.get_model("fulfilment", "Parcel").objects.create(
        show=show, code=f"parcel{number}", number=number, name="N", email="n@example.org", mass_g=160, posting=2,
        **inside,
    )
    for kind in ("packed", "posted", "returned"):
        apps.get_model("fulfilment", "ParcelEvent").objects.create(parcel=parcel, kind=kind, happened_at=at)
"""


def test_postings_of_before_left_in_what_their_parcel_says(tmp_path):
    env = laptop(tmp_path) | {"DJANGO_SETTINGS_MODULE": "config.settings"}
    run("-c", OLD_SITE, BEFORE, env=env)
    run("manage.py", "migrate", "--verbosity", "0", env=env)
    with sqlite3.connect(next(tmp_path.glob("*.sqlite3"))) as database:
        rows = database.execute("SELECT kind, mailer_id IS NOT NULL FROM fulfilment_parcelevent ORDER BY id").fetchall()
    first, second = rows[:3], rows[3:]
    assert first == [("packed", 0), ("posted", 1), ("returned", 0)]
    assert second == [("packed", 0), ("posted", 0), ("returned", 0)]
