"""
Triggers refuse UPDATE and DELETE on what happened to the prints of a show.

Reversible: the reverse drops the triggers; the events go with their table.
"""

from django.db import migrations

TABLE = "fulfilment_showprintevent"
SENTENCE = "the events of show prints are append-only: write a further one instead"

SQLITE = [
    f"CREATE TRIGGER show_print_event_no_{act.lower()} BEFORE {act} ON {TABLE} "
    f"BEGIN SELECT RAISE(ABORT, '{SENTENCE}'); END"
    for act in ("UPDATE", "DELETE")
]
SQLITE_REVERSE = [f"DROP TRIGGER IF EXISTS show_print_event_no_{act}" for act in ("update", "delete")]
POSTGRES = [
    "CREATE FUNCTION show_print_events_are_append_only() RETURNS trigger LANGUAGE plpgsql AS $$ "
    f"BEGIN RAISE EXCEPTION '{SENTENCE}' USING ERRCODE = 'integrity_constraint_violation'; END $$",
    f"CREATE TRIGGER show_print_event_no_change BEFORE UPDATE OR DELETE ON {TABLE} "
    "FOR EACH ROW EXECUTE FUNCTION show_print_events_are_append_only()",
]
POSTGRES_REVERSE = [
    f"DROP TRIGGER IF EXISTS show_print_event_no_change ON {TABLE}",
    "DROP FUNCTION IF EXISTS show_print_events_are_append_only()",
]


def run(schema_editor, statements):
    for statement in statements:
        schema_editor.execute(statement)


def guard(apps, schema_editor):
    run(schema_editor, SQLITE if schema_editor.connection.vendor == "sqlite" else POSTGRES)


def unguard(apps, schema_editor):
    run(schema_editor, SQLITE_REVERSE if schema_editor.connection.vendor == "sqlite" else POSTGRES_REVERSE)


class Migration(migrations.Migration):
    dependencies = [("fulfilment", "0009_paper_prints_for_the_wall_and_nests")]
    operations = [migrations.RunPython(guard, unguard)]
