"""
What is printed already gets its event; from then on triggers refuse UPDATE and DELETE on the events of copies.

Reversible: the reverse drops the triggers; the events go with their table.
"""

from django.db import migrations

TABLE = "fulfilment_copyevent"
SENTENCE = "the events of copies are append-only: write a further one instead"

SQLITE = [
    f"CREATE TRIGGER copy_event_no_{act.lower()} BEFORE {act} ON {TABLE} BEGIN SELECT RAISE(ABORT, '{SENTENCE}'); END"
    for act in ("UPDATE", "DELETE")
]
SQLITE_REVERSE = [f"DROP TRIGGER IF EXISTS copy_event_no_{act}" for act in ("update", "delete")]
POSTGRES = [
    "CREATE FUNCTION copy_events_are_append_only() RETURNS trigger LANGUAGE plpgsql AS $$ "
    f"BEGIN RAISE EXCEPTION '{SENTENCE}' USING ERRCODE = 'integrity_constraint_violation'; END $$",
    f"CREATE TRIGGER copy_event_no_change BEFORE UPDATE OR DELETE ON {TABLE} "
    "FOR EACH ROW EXECUTE FUNCTION copy_events_are_append_only()",
]
POSTGRES_REVERSE = [
    f"DROP TRIGGER IF EXISTS copy_event_no_change ON {TABLE}",
    "DROP FUNCTION IF EXISTS copy_events_are_append_only()",
]


def run(schema_editor, statements):
    for statement in statements:
        schema_editor.execute(statement)


def guard(apps, schema_editor):
    known = apps.get_model("fulfilment", "Impression").objects.order_by("printed_at", "pk")
    event = apps.get_model("fulfilment", "CopyEvent")
    rows = known.values_list("copy", "printed_at")
    event.objects.bulk_create(
        [event(copy_id=copy, kind="printed", happened_at=printed_at) for copy, printed_at in rows], batch_size=500
    )
    run(schema_editor, SQLITE if schema_editor.connection.vendor == "sqlite" else POSTGRES)


def unguard(apps, schema_editor):
    run(schema_editor, SQLITE_REVERSE if schema_editor.connection.vendor == "sqlite" else POSTGRES_REVERSE)


class Migration(migrations.Migration):
    dependencies = [("fulfilment", "0006_register_of_copies")]
    operations = [migrations.RunPython(guard, unguard)]
