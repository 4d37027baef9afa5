"""The cast and the scene of all tests: ada the artist, cleo the outsider, one small show."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from typing import Any

import pytest
from django.db import connection
from hypothesis import HealthCheck, settings

from tests import builders, reliability
from tests.card_stand_in import KEY, SECRET, StandIn
from tests.processes import laptop, run

settings.register_profile("house", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("house")


# Files of the load and fault tests that take longest: begun first, so that no core is idle at the end.
LONGEST = (
    "test_hostile_input", "test_any_order_of_acts", "test_named_deaths", "test_card_processor",
    "test_killed_processes", "test_batch_mail", "test_restore_drill", "test_waiting_list_at_once", "test_releases",
    "tests/load/",
)  # fmt: skip
# Alone on the machine for a moment: while nobody is at work on anything that does not let them in.
MEASURES = ("test_many_buyers_over_http", "test_crowd_buys_exactly_the_edition")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[Any]) -> None:
    """
    The long ones first; whatever order the others have, they keep.

    Each process of pytest-xdist begins with two tests: those that measure are the first ones of all.
    """
    items.sort(key=lambda item: next((at for at, name in enumerate(LONGEST) if name in item.nodeid), len(LONGEST)))
    measuring = [item for item in items if any(name in item.nodeid for name in MEASURES)]
    others = [item for item in items if item not in measuring]
    half = (len(measuring) + 1) // 2
    begun, next_ones = measuring[:half], [*measuring[half:], *others]
    items[:] = [item for pair in zip(begun, next_ones, strict=False) for item in pair]
    items += [*begun[len(next_ones) :], *next_ones[half:]]


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    request: Any, django_db_modify_db_settings_parallel_suffix: None, tmp_path_factory: Any
) -> Iterator[None]:
    """
    On SQLite in memory the test database begins as a copy of a migrated one: migrating takes twenty seconds.

    With WALLFUL_TEST_DB_AS_IS=1 and `--reuse-db` it is the database of the settings, migrated already.
    """
    if os.environ.get("WALLFUL_TEST_DB_AS_IS"):
        if not request.config.getvalue("reuse_db") or request.config.getvalue("create_db"):
            pytest.exit("WALLFUL_TEST_DB_AS_IS without --reuse-db would drop the database of the settings.", 4)
        connection.settings_dict["TEST"]["NAME"] = connection.settings_dict["NAME"]
    own = connection.creation._get_test_db_name()
    if connection.vendor != "sqlite" or not connection.creation.is_in_memory_db(own):
        yield
        return
    file = tmp_path_factory.mktemp("migrated") / "wallful.sqlite3"
    run("-c", "from tests.seed import migrate; migrate()", env=laptop(file.parent))
    with closing(sqlite3.connect(own, uri=True)) as memory:
        with closing(sqlite3.connect(file)) as migrated:
            migrated.execute("PRAGMA journal_mode=DELETE")
            migrated.backup(memory)
        yield


@pytest.fixture(autouse=True)
def quick_passwords(settings: Any) -> None:
    """Passwords of the cast are hashed fast: the real hasher takes a third of a second, on purpose."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def show(db: None) -> Any:
    """A published show with its staircase."""
    return builders.make_show()


@pytest.fixture
def ada(db: None, django_user_model: Any) -> Any:
    """The artist."""
    return django_user_model.objects.create_user("ada", "ada@example.org", "a long enough password", is_staff=True)


@pytest.fixture
def cleo(db: None, django_user_model: Any) -> Any:
    """Somebody with a password and no business here."""
    return django_user_model.objects.create_user("cleo", "cleo@example.org", "a long enough password")


@pytest.fixture
def ada_client(client: Any, ada: Any) -> Any:
    """A browser in which the artist is signed in."""
    client.force_login(ada)
    return client


@pytest.fixture
def cleo_client(client: Any, cleo: Any) -> Any:
    """A browser in which the outsider is signed in."""
    client.force_login(cleo)
    return client


@pytest.fixture
def stand_in(settings: Any, db: None) -> Iterator[StandIn]:
    """A card processor of our own on this machine, with the site's keys set to it, and a studio that takes cards."""
    processor = StandIn(clock=builders.NOW.timestamp, hang_s=0.5)
    settings.CARD_SECRET_KEY, settings.CARD_WEBHOOK_SECRET, settings.CARD_SECONDS = KEY, SECRET, 0.3
    settings.CARD_API = settings.CARD_CHECKOUT = processor.url
    studio = builders.make_studio()
    studio.takes_cards = True
    studio.save()
    yield processor
    processor.close()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: Any, call: Any) -> Any:
    """Whether the test whose figures were recorded held."""
    report = yield
    if report.when == "call":
        reliability.settle(holds=report.passed)
    return report


def pytest_sessionfinish(session: Any) -> None:
    """The figures of the load and fault tests into their file."""
    reliability.write()
