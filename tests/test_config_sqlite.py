"""SQLite files are opened whole or not at all."""

import sqlite3

import pytest
from django.db import DatabaseError, connections, transaction
from django.db.backends.sqlite3.base import DatabaseWrapper

from campaign.models import OutboxMessage
from campaign.models.rows import change
from config.sqlite import OpenedOrClosed


def test_a_connection_that_cannot_be_set_up_is_closed():
    connection = sqlite3.connect(":memory:", factory=OpenedOrClosed)
    with pytest.raises(sqlite3.OperationalError):
        connection.execute("PRAGMA no such thing")
    with pytest.raises(sqlite3.ProgrammingError, match="closed"):
        connection.execute("SELECT 1")


def test_a_statement_that_works_leaves_it_open():
    connection = sqlite3.connect(":memory:", factory=OpenedOrClosed)
    assert connection.execute("SELECT ?", (1,)).fetchone() == (1,)
    assert connection.execute("SELECT 2").fetchone() == (2,)


@pytest.mark.django_db
def test_django_leaves_nothing_open_behind_a_file_it_cannot_use(tmp_path):
    not_a_database = tmp_path / "x.sqlite3"
    not_a_database.write_bytes(b"no database, but long enough to be looked at " * 100)
    opened = []

    class Told(OpenedOrClosed):
        def __init__(self, *args, **kwargs):
            super().__init__(*args, **kwargs)
            opened.append(self)

    given = connections["default"].settings_dict
    options = {**given["OPTIONS"], "factory": Told}
    wrapper = DatabaseWrapper({**given, "NAME": str(not_a_database), "OPTIONS": options}, alias="other")
    with pytest.raises(DatabaseError, match="not a database"):
        wrapper.ensure_connection()
    assert len(opened) == 1
    with pytest.raises(sqlite3.ProgrammingError, match="closed"):
        opened[0].execute("SELECT 1")


@pytest.mark.django_db
def test_a_statement_of_ours_that_fails_leaves_the_connection_open():
    with pytest.raises(DatabaseError), transaction.atomic():
        change("UPDATE no_such_table SET x = %s", [1])
    assert not OutboxMessage.objects.exists()
