"""
Source: RFC 4287, The Atom Syndication Format, 2, 3.1 to 3.3, 4.1.1, 4.1.2, 4.2.6, 4.2.7 (requirements as quoted in
    public repositories, read 2026-11-26); RFC 3339, 5.6; XML 1.0, 2.2 (from memory).
Edition: December 2005.
Licence: requirements only, no text.
What is checked: every MUST about feed and entry that concerns elements we write, on a feed with hostile words and on
    one without any news.
Tolerance: none.
"""

import re
from datetime import UTC, datetime, timedelta
from urllib.parse import urlsplit
from uuid import UUID
from xml.etree import ElementTree

import pytest

from campaign.models import Update
from campaign.services import updates
from tests.builders import NOW

pytestmark = pytest.mark.outside

ATOM = "{http://www.w3.org/2005/Atom}"
NASTY = 'Ink & <b>"water"</b> ]]> \x0b\x00 \U0001f58b <script>x</script>'


@pytest.fixture
def feed(show, client):
    """The feed of a show with three pieces of news, as it comes over HTTP."""
    for hours, title in enumerate(("First", NASTY.replace("\x00", ""), "Last")):
        body = f"{title}\n\n[short](/show/tideline/) and [whole](https://example.org/?a=1&b=2)"
        one = updates.write_update(show=show, update=None, title=title, body=body, now=NOW)
        updates.send_update(update=one, now=NOW + timedelta(hours=hours))
    return client.get("/show/tideline/updates.atom")


def root(response):
    """The parsed document; raises where it is not well-formed (RFC 4287, 2: it MUST be)."""
    return ElementTree.fromstring(response.content)


def texts(parent, name):
    return [child.text for child in parent.findall(ATOM + name)]


def links(parent, rel):
    return [child for child in parent.findall(f"{ATOM}link") if child.get("rel", "alternate") == rel]


def test_the_document_is_an_atom_feed_and_says_so(feed):
    """RFC 4287, 2 and 7: well-formed XML, root atom:feed, application/atom+xml."""
    assert feed.headers["Content-Type"].partition(";")[0] == "application/atom+xml"
    assert root(feed).tag == f"{ATOM}feed"
    assert feed.content.startswith(b"<?xml version='1.0' encoding='utf-8'?>")


@pytest.mark.parametrize("name", ["id", "title", "updated"])
def test_feed_and_entries_have_exactly_one_of_each(feed, name):
    """RFC 4287, 4.1.1 and 4.1.2: exactly one atom:id, atom:title and atom:updated."""
    parsed = root(feed)
    for parent in (parsed, *parsed.findall(f"{ATOM}entry")):
        (text,) = texts(parent, name)
        assert text


def test_the_feed_names_its_author_for_all_entries(feed):
    """RFC 4287, 4.1.1: atom:author in the feed unless in each entry; 3.2.1: exactly one atom:name."""
    (author,) = root(feed).findall(f"{ATOM}author")
    assert texts(author, "name") == ["Ada Example"]


def test_the_feed_says_where_it_is_and_of_what_it_is(feed):
    """RFC 4287, 4.1.1: SHOULD one link rel=self; no two rel=alternate of the same type; 4.2.7.1: href MUST be there."""
    parsed = root(feed)
    (own,), (page,) = links(parsed, "self"), links(parsed, "alternate")
    assert own.get("href") == "http://127.0.0.1:8000/show/tideline/updates.atom"
    assert page.get("href") == "http://127.0.0.1:8000/show/tideline/updates/"


def test_ids_are_iris_of_their_own(feed):
    """RFC 4287, 4.2.6: an IRI, never relative, unique and permanent; RFC 4122, 3: urn:uuid."""
    parsed = root(feed)
    ids = [*texts(parsed, "id"), *(texts(entry, "id")[0] for entry in parsed.findall(f"{ATOM}entry"))]
    assert len(set(ids)) == 4
    assert all(one == UUID(one.removeprefix("urn:uuid:")).urn for one in ids)


def test_ids_stay_when_the_site_moves(feed, client, settings):
    """RFC 4287, 4.2.6: the id MUST NOT change when a document is relocated."""
    settings.PUBLIC_URL = "https://other.example"
    moved = root(client.get("/show/tideline/updates.atom"))
    assert texts(moved, "id") == texts(root(feed), "id")
    assert links(moved, "self")[0].get("href").startswith("https://other.example/")
    before = [texts(entry, "id") for entry in root(feed).findall(f"{ATOM}entry")]
    assert [texts(entry, "id") for entry in moved.findall(f"{ATOM}entry")] == before


def test_moments_are_date_times_with_a_capital_t_and_z(feed):
    """RFC 4287, 3.3: the date-time production of RFC 3339, with uppercase T and, for UTC, uppercase Z."""
    parsed = root(feed)
    entries = parsed.findall(f"{ATOM}entry")
    moments = [texts(parsed, "updated"), *(texts(one, name) for one in entries for name in ("published", "updated"))]
    for (moment,) in moments:
        assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", moment)
    newest = max(datetime.fromisoformat(texts(one, "updated")[0]) for one in entries)
    assert datetime.fromisoformat(texts(parsed, "updated")[0]) == newest == NOW.astimezone(UTC) + timedelta(hours=2)


def test_entries_lead_to_their_own_page(feed, client):
    """RFC 4287, 4.1.2: no two rel=alternate of the same type; it opens, and is absolute."""
    for entry in root(feed).findall(f"{ATOM}entry"):
        (link,) = links(entry, "alternate")
        address = urlsplit(link.get("href"))
        assert (address.scheme, address.netloc) == ("http", "127.0.0.1:8000")
        assert client.get(address.path).status_code == 200


def test_content_is_escaped_html_without_markup_of_its_own(feed):
    """RFC 4287, 4.1.2 and 4.1.3.3: at most one atom:content; type=html MUST NOT have children, markup is escaped."""
    for entry in root(feed).findall(f"{ATOM}entry"):
        (content,) = entry.findall(f"{ATOM}content")
        assert content.get("type") == "html" and len(content) == 0
        assert ("<script" not in content.text and "&lt;script&gt;" in content.text) or "Ink" not in content.text
        assert 'href="http://127.0.0.1:8000/show/tideline/"' in content.text
        assert 'href="https://example.org/?a=1&amp;b=2"' in content.text


def test_titles_are_plain_text_without_what_xml_cannot_hold(feed):
    """RFC 4287, 3.1.1.1: text is the default type; XML 1.0, production 2: no control characters."""
    titles = [texts(entry, "title")[0] for entry in root(feed).findall(f"{ATOM}entry")]
    assert titles[1] == 'Ink & <b>"water"</b> ]]>  \U0001f58b <script>x</script>'
    assert [titles[0], titles[2]] == ["Last", "First"]  # the newest first


def test_a_feed_without_news_is_a_feed(show, client):
    """RFC 4287, 4.1.1: atom:entry is optional, everything else is not."""
    Update.objects.all().delete()
    parsed = root(client.get("/show/tideline/updates.atom"))
    assert parsed.findall(f"{ATOM}entry") == []
    assert [len(texts(parsed, name)) for name in ("id", "title", "updated", "author")] == [1, 1, 1, 1]
