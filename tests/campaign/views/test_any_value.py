"""Whatever is typed into the studio: a sentence, or a value that its column holds, never an error of the server."""

import re

import pytest
from django.apps import apps
from django.db.backends.base.operations import BaseDatabaseOperations
from django.db.models import CharField
from django.test import Client
from django.urls import reverse

from tests.builders import make_draft
from tests.campaign.views.studio_forms import filled
from tests.studio_pages import DOORS, FORM, PAGES, make_things

RANGES = BaseDatabaseOperations.integer_field_ranges  # those of PostgreSQL; SQLite takes more
ONE_TOO_LARGE = str(2**31)
ODD = ["1" + "0" * 30, "a\0b", "x" * 30_000]
PAGES_WITH_FORMS = [name for name, (methods, _) in PAGES.items() if methods == FORM]
LONG = ["campaign:settings", "campaign:paste_works", "campaign:draw_wall", "campaign:tie", "fulfilment:send"]
PAGES_WITH_FORMS += [name for name, methods in DOORS.items() if methods == FORM]


@pytest.fixture
def draft(db, clock):
    """Two works only: what is taken is followed by a search for the best shows."""
    draft = make_draft(state="open")
    draft.works.exclude(code__in=["w01", "w02"]).delete()
    return draft


@pytest.fixture
def address(draft):
    things = make_things(draft)

    def of(name):
        if name in DOORS:
            return reverse(name)
        return reverse(name, args=[draft.code, *(things[part] for part in PAGES[name][1])])

    return of


def faults():
    """What stands in a column that PostgreSQL would not have taken."""
    for model in apps.get_models():
        fields = model._meta.concrete_fields
        for row in model.objects.values_list():
            for field, value in zip(fields, row, strict=True):
                low, high = RANGES.get(field.get_internal_type(), (None, None))
                if isinstance(value, int) and high is not None and not low <= value <= high:
                    yield f"{field} {value}"
                if isinstance(value, str) and "\0" in value:
                    yield f"{field} holds NUL"
                if isinstance(value, str) and isinstance(field, CharField) and len(value) > field.max_length:
                    yield f"{field} {len(value)} letters"


def text_fields(data):
    """The names of the fields, counters of tables included; of a table's rows the first, for all are alike."""
    return [name for name in data if not re.search(r"-[1-9]\d*-", name)]


def shown_at(client, url):
    """What stands in the fields of a page; nothing where an earlier submit has used the page up."""
    page = client.get(url)
    return filled(page) if page.status_code == 200 and page.context else {}


@pytest.mark.parametrize("name", PAGES_WITH_FORMS)
def test_no_field_takes_what_its_column_does_not(draft, address, ada_client, name):
    url = address(name)
    shown = shown_at(ada_client, url)
    for field in text_fields(shown):
        answer = ada_client.post(url, shown | {field: ONE_TOO_LARGE})
        assert answer.status_code in (200, 302, 400), field
        if answer.status_code == 302:
            assert list(faults()) == [], field
            shown = shown_at(ada_client, url)
            if not shown:
                return


@pytest.mark.parametrize("name", PAGES_WITH_FORMS)
def test_odd_letters_are_refused_in_every_field(draft, address, ada_client, name):
    url = address(name)
    shown = shown_at(ada_client, url)
    for value in ODD if shown else ():  # a page that only asks has no field, and its submit is the act
        answer = ada_client.post(url, shown | dict.fromkeys(text_fields(shown), value))
        assert answer.status_code in (200, 302, 400)
        assert list(faults()) == []


@pytest.mark.parametrize("name", LONG)
def test_ten_million_letters_are_refused_in_words(draft, address, ada, name):
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(ada)
    browser.get(reverse("campaign:new_show"))  # gives the cookie without which nothing is read at all
    answer = browser.post(address(name), {"name": "x" * 10_000_000, "title": "y"})
    assert answer.status_code == 400
    assert "far too long" in answer.content.decode()
