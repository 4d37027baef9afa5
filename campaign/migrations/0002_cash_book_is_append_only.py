"""Triggers that refuse UPDATE and DELETE on the cash book. Reversible: the reverse drops them."""

from django.db import migrations

TABLE = "campaign_cashentry"
SENTENCE = "the cash book is append-only: write a correcting entry instead"

SQLITE = [
    f"CREATE TRIGGER cash_book_no_{act.lower()} BEFORE {act} ON {TABLE} BEGIN SELECT RAISE(ABORT, '{SENTENCE}'); END"
    for act in ("UPDATE", "DELETE")
]
SQLITE_REVERSE = [f"DROP TRIGGER IF EXISTS cash_book_no_{act}" for act in ("update", "delete")]
POSTGRES = [
    "CREATE FUNCTION cash_book_is_append_only() RETURNS trigger LANGUAGE plpgsql AS $$ "
    f"BEGIN RAISE EXCEPTION '{SENTENCE}' USING ERRCODE = 'integrity_constraint_violation'; END $$",
    f"CREATE TRIGGER cash_book_no_change BEFORE UPDATE OR DELETE ON {TABLE} "
    "FOR EACH ROW EXECUTE FUNCTION cash_book_is_append_only()",
]
POSTGRES_REVERSE = [
    f"DROP TRIGGER IF EXISTS cash_book_no_change ON {TABLE}",
    "DROP FUNCTION IF EXISTS cash_book_is_append_only()",
]


def run(schema_editor, statements):
    for statement in statements:
        schema_editor.execute(statement)


def guard(apps, schema_editor):
    run(schema_editor, SQLITE if schema_editor.connection.vendor == "sqlite" else POSTGRES)


def unguard(apps, schema_editor):
    run(schema_editor, SQLITE_REVERSE if schema_editor.connection.vendor == "sqlite" else POSTGRES_REVERSE)


class Migration(migrations.Migration):
    dependencies = [("campaign", "0001_initial")]
    operations = [migrations.RunPython(guard, unguard)]
