"""The cast and the scene of all tests: ada the artist, cleo the outsider, one small show."""

from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from tests import builders, reliability
from tests.card_stand_in import KEY, SECRET, StandIn

settings.register_profile("house", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("house")


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
