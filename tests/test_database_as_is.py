"""The database of the settings is tested in only where it is kept as well."""

import sqlite3
from contextlib import closing

import pytest

from tests.processes import environment, run


@pytest.mark.parametrize("options", [(), ("--reuse-db", "--create-db")])
def test_a_database_is_not_dropped_for_want_of_an_option(tmp_path, options):
    file = tmp_path / "site.sqlite3"
    with closing(sqlite3.connect(file)) as site:
        site.execute("CREATE TABLE precious (a)")
    own = {
        "WALLFUL_DATABASE_URL": f"sqlite:///{file}", "WALLFUL_DATA": str(tmp_path), "WALLFUL_TEST_DB_AS_IS": "1",
    }  # fmt: skip
    test = "tests/campaign/services/test_batches.py"
    with pytest.raises(AssertionError, match="would drop the database"):
        run("-m", "pytest", "-q", "-n", "0", "-p", "no:cacheprovider", *options, test, env=environment(own))
    with closing(sqlite3.connect(file)) as site:
        assert site.execute("SELECT name FROM sqlite_master").fetchall() == [("precious",)]
