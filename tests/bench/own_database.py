"""A database on disk for a process of the bench, so that every commit is paid for, set up as a server's."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path


@contextmanager
def own_database(folder: Path) -> Iterator[None]:
    """All tables and no rows, in `folder`, for as long as the block runs. Django keeps one database a process."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
    import_module("config.wsgi")
    from django.db import connection
    from django.test.utils import setup_test_environment, teardown_test_environment

    setup_test_environment(debug=False)
    connection.settings_dict["TEST"]["NAME"] = str(folder / "bench.sqlite3")
    name = connection.creation.create_test_db(verbosity=0)
    try:
        yield
    finally:
        connection.creation.destroy_test_db(name, verbosity=0)
        teardown_test_environment()
