"""An empty site for crowds, on SQLite in a file and on PostgreSQL."""

import contextlib
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.alone import beside_others
from tests.processes import environment, laptop, new_database, postgres


@pytest.fixture(autouse=True)
def others() -> Iterator[None]:
    """None of them while somebody measures."""
    with beside_others():
        yield


@pytest.fixture(scope="module")
def server() -> Iterator[str]:
    """One PostgreSQL for the tests of a file."""
    with postgres() as address:
        yield address


@pytest.fixture(params=["sqlite", "postgresql"])
def env(request, tmp_path: Path) -> Iterator[dict[str, str]]:
    """Settings of an empty site on a file, or on PostgreSQL."""
    with contextlib.ExitStack() as stack:
        own = laptop(tmp_path)
        if request.param == "postgresql":
            address = stack.enter_context(new_database(request.getfixturevalue("server"), is_migrated=True))
            own |= environment({"WALLFUL_DATABASE_URL": address, "WALLFUL_SECRET_KEY": "for tests only " * 4})
        yield own
