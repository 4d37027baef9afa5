"""
A small published show whose campaign is open today: `python -m tests.seed COPIES`, in the database of the settings.

A program of its own, because the database belongs to other processes than the test's.
"""

import os
import shutil
import sqlite3
import sys
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from django.core.management import call_command  # noqa: E402 - needs django.setup()
from django.db import connection  # noqa: E402
from django.utils import timezone  # noqa: E402

from tests.builders import make_show  # noqa: E402
from tests.kept import keeping  # noqa: E402


def migrate() -> None:
    """
    All tables. On SQLite an empty migrated file is kept among the machine's temporary files, by what migrations say:
    every test of processes begins with one, and a copy takes no time.
    """
    file = Path(str(connection.settings_dict["NAME"]))
    if connection.vendor != "sqlite" or file.exists():
        call_command("migrate", interactive=False, verbosity=0)
        return
    with keeping("sqlite3") as kept:
        if not kept.is_file():
            call_command("migrate", interactive=False, verbosity=0)
            connection.close()
            partial = kept.with_suffix(".partial")
            partial.unlink(missing_ok=True)
            with closing(sqlite3.connect(file)) as made:
                made.execute("VACUUM INTO ?", [str(partial)])
            partial.replace(kept)
    if not file.exists():
        shutil.copyfile(kept, file)


def main(copies: int) -> None:
    """Migrate, and make the show unless it is there."""
    migrate()
    now = timezone.now()
    today = now.date()
    make_show(
        copies=copies,
        opens_at=now - timedelta(days=1),
        closes_at=now + timedelta(days=20),
        cancel_until_on=today + timedelta(days=20),
        posting_by_on=today + timedelta(days=60),
        hang_on=today + timedelta(days=50),
        opening_at=now + timedelta(days=51),
        last_day_on=today + timedelta(days=80),
    )


if __name__ == "__main__":
    main(int(sys.argv[1]))
