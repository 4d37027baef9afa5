"""
Shows from before the rule that works of a series share a finish keep hanging as they did.

Only where 0006, which brought the rule, is applied in the same run: every show is from before it then, and nobody has
seen the rule. Where it was applied earlier no row says whether the artist wants it, and it stays as it is.
"""

from django.db import migrations
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

# Migrations are all imported before the first of a run is applied.
LOADED_AT = timezone.now()
RULE = "0006_costs_walls_and_days_as_they_are"


def keep_old_shows(apps, schema_editor):
    applied = MigrationRecorder(schema_editor.connection).migration_qs
    if applied.filter(app="campaign", name=RULE, applied__gte=LOADED_AT).exists():
        apps.get_model("campaign", "Show").objects.update(series_share_finish=False)


class Migration(migrations.Migration):
    dependencies = [("campaign", "0018_bank_lines_know_charges")]

    operations = [migrations.RunPython(keep_old_shows, migrations.RunPython.noop)]
