"""Records that cannot be written for a while are told from faults of our own, whatever layer meets them."""

import contextlib
import uuid

import pytest
import time_machine
from django.db import OperationalError, connection
from django.test import Client

from campaign.models import Pledge, RateCount
from campaign.views.failures import is_database_away, server_error
from tests.builders import NOW
from tests.campaign.views.order_flow import fetch, send

pytestmark = pytest.mark.django_db(transaction=True)
SQLITE_ONLY = "these are SQLite's own words for it; PostgreSQL's are in tests/faults/test_disk.py"


@pytest.fixture
def browser(show):
    if connection.vendor != "sqlite":
        pytest.skip(SQLITE_ONLY)
    with time_machine.travel(NOW, tick=False) as traveller:
        client = Client(raise_request_exception=False)
        client.traveller = traveller
        yield client


@contextlib.contextmanager
def pragma(name, value, back):
    """SQLite itself refuses to write, until the block ends."""
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA {name} = {value}")
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute(f"PRAGMA {name} = {back}")


def pages_in_use():
    with connection.cursor() as cursor:
        return cursor.execute("PRAGMA page_count").fetchone()[0]


def order(browser, fields, **changes):
    changes = {"agreed_total_minor": "4990", "request_key": str(uuid.uuid4())} | changes
    return send(browser, step="place", fields=fields, **changes)


def test_an_order_that_cannot_be_written_is_answered_in_words_and_goes_through_later(browser):
    fields = fetch(browser)
    browser.traveller.shift(30)
    with pragma("query_only", 1, 0):
        answer = order(browser, fields)
    assert (answer.status_code, answer["Retry-After"], answer["Cache-Control"]) == (503, "120", "no-store")
    text = answer.content.decode()
    assert "Nothing can be written down right now." in text
    assert "send the same page again" in text
    assert "default-src" in answer["Content-Security-Policy"]
    assert not Pledge.objects.exists()
    assert order(browser, fields).status_code == 302
    assert Pledge.objects.count() == 1


def test_a_full_disk_leaves_nothing_half_done(browser):
    fields = fetch(browser)
    browser.traveller.shift(30)
    assert order(browser, fields).status_code == 302  # what a first order needs is there
    RateCount.objects.all().delete()
    with pragma("max_page_count", pages_in_use(), 1_073_741_823):
        statuses: list[int] = []
        while len(statuses) < 60 and 503 not in statuses:
            RateCount.objects.all().delete()
            before = Pledge.objects.count()
            statuses.append(order(browser, fields, email=f"b{len(statuses)}@example.org").status_code)
    assert statuses[-1] == 503
    assert set(statuses[:-1]) <= {302}
    assert Pledge.objects.count() == before


def test_a_wrong_statement_is_a_fault_of_ours(db):
    with pytest.raises(OperationalError) as caught, connection.cursor() as cursor:
        if connection.vendor != "sqlite":
            pytest.skip(SQLITE_ONLY)
        cursor.execute("SELECT nothing FROM nowhere")
    assert not is_database_away(caught.value)
    assert not is_database_away(ValueError())
    assert not is_database_away(None)


def test_a_fault_of_ours_keeps_its_own_page(rf):
    try:
        1 / 0  # noqa: B018 - the fault
    except ZeroDivisionError:
        answer = server_error(rf.get("/"))
    assert answer.status_code == 500
    assert "Something broke on our side." in answer.content.decode()
    assert "Retry-After" not in answer
