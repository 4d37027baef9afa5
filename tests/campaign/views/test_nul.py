"""NUL in an address, after its question mark or in a cookie: SQLite would look for it, PostgreSQL ends in an error."""

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from tests.builders import make_draft
from tests.faults.hostile import as_strict_as_postgresql
from tests.studio_pages import PAGES, addresses, make_things

CODED = {name for name, (_, parts) in PAGES.items() if parts}


@pytest.fixture
def draft(db, clock):
    return make_draft(state="open")


@pytest.fixture
def strict(draft):
    with connection.execute_wrapper(as_strict_as_postgresql):
        yield


def test_a_code_with_nul_is_a_page_that_is_not_there(draft, ada_client, strict):
    things = make_things(draft)
    for name, url, methods in addresses(draft, things):
        if name in CODED:
            for code in (things[part] for part in PAGES[name][1]):
                bent = url.replace(str(code), "a%00b", 1)
                assert ada_client.generic(methods[0], bent).status_code == 404, name


def test_public_codes_with_nul_are_not_there_either(draft, client, strict):
    for path in ("/show/tideline/updates/%00/", "/copy/%00/", "/my/%00/", "/m/%00/", "/u/%00/", "/calendar/%00.ics"):
        assert client.get(path).status_code in (403, 404), path


def test_nul_after_the_question_mark_is_nothing_chosen(draft, client, strict):
    order = reverse("campaign:order", args=[draft.code])
    for name in ("country", "friend", "edition", "from", "what"):
        assert client.get(f"{order}?{name}=%00").status_code == 200, name


def test_cookies_with_nul_are_no_cookies(draft, strict):
    browser = Client()
    odd = '"' + "\\000" * 20 + '"'
    header = "; ".join(f"{name}={odd}" for name in ("sessionid", "csrftoken", "pledge", "messages"))
    assert browser.get("/show/tideline/", HTTP_COOKIE=header).status_code == 200
    assert browser.get("/studio/", HTTP_COOKIE=header).status_code == 302
