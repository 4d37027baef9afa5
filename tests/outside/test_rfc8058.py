"""
Source: RFC 8058, Signaling One-Click Functionality for List Email Headers, 3.1, 3.2 and the examples (from memory);
    RFC 2369, 3.2 to 3.6; RFC 2919, 2 and 3; RFC 3834, 5 (from memory).
Edition: January 2017, July 1998, March 2001, August 2004.
Licence: requirements only, no text.
What is checked: the header fields of news in every segment, and what a mail program's POST of 26 bytes does and a GET
    does not.
Tolerance: none.
"""

import re
from datetime import timedelta
from email import message_from_bytes
from urllib.parse import urlsplit

import pytest
from django.test import Client

from campaign import outbox
from campaign.models import OutboxMessage, Waiter
from campaign.queries.audience import read_audience
from campaign.services import updates
from tests.builders import NOW, place

pytestmark = pytest.mark.outside

BODY = b"List-Unsubscribe=One-Click"
SEGMENTS = ["all", "unpaid", "country", "waiting"]


@pytest.fixture
def public(settings):
    """The site as the public has it."""
    settings.PUBLIC_URL = "https://studio.example"
    settings.DEFAULT_FROM_EMAIL = "Ada Example <news@studio.example>"


@pytest.fixture(params=SEGMENTS)
def news(request, show, public, settings, tmp_path):
    """One piece of news in each segment, as it left the house, with its link's path."""
    settings.EMAIL_BACKEND, settings.EMAIL_FILE_PATH = "django.core.mail.backends.filebased.EmailBackend", str(tmp_path)
    place(show, email="mary@example.org")
    Waiter.objects.create(edition=show.editions.get(), name="Mary", email="mary@example.org", asked_at=NOW)
    update = updates.write_update(
        show=show, update=None, title="Ink", body="It came.", segment=request.param, country="DE", now=NOW
    )
    updates.send_update(update=update, now=NOW)
    OutboxMessage.objects.exclude(name="update_news").delete()
    assert outbox.deliver_due(now=NOW + timedelta(minutes=2)) == 1
    (file,) = tmp_path.iterdir()
    mail = message_from_bytes(file.read_bytes().rpartition(b"\n---")[0])
    return mail, urlsplit(re.sub(r"[<>\s]", "", mail["List-Unsubscribe"])), request.param


def readers(show, segment):
    return read_audience(show, segment=segment, country="DE").readers


def test_the_body_of_a_mail_program_is_of_26_bytes():
    """RFC 8058, 3.2 and 8: the POST carries the key and value of List-Unsubscribe-Post, Content-Length 26."""
    assert len(BODY) == 26


def test_both_fields_are_there_once_and_the_link_is_https(news):
    """RFC 8058, 3.1: one List-Unsubscribe with one HTTPS URI, one List-Unsubscribe-Post with this single value."""
    mail, link, _ = news
    assert mail.get_all("List-Unsubscribe-Post") == ["List-Unsubscribe=One-Click"]
    (field,) = mail.get_all("List-Unsubscribe")
    assert re.fullmatch(r"<https://[^<>, ]+>", re.sub(r"\s+", "", field))
    assert (link.scheme, link.netloc, link.query) == ("https", "studio.example", "")


def test_the_link_names_the_reader_by_something_that_cannot_be_guessed(news):
    """RFC 8058, 3.1: enough to identify the reader and the list; 6: opaque, so that nobody forges one."""
    _, link, _ = news
    token = link.path.rstrip("/").rpartition("/")[2]
    assert len(token.rpartition(":")[2]) >= 43  # 256 bits of signature
    assert "mary" not in link.path
    assert (
        Client().post(f"{link.path[:-5]}AAAA/", BODY, content_type="application/x-www-form-urlencoded").status_code
        == 404
    )


@pytest.mark.parametrize("way", ["urlencoded", "multipart"])
def test_a_post_without_cookie_or_token_ends_the_news_and_again_is_the_same(news, show, way):
    """RFC 8058, 3.1 and 3.2: multipart/form-data or urlencoded, no cookies, no other context, no redirect."""
    _, link, segment = news
    assert len(readers(show, segment)) == 1
    bare = Client(enforce_csrf_checks=True)
    for _ in range(2):
        if way == "urlencoded":
            answer = bare.post(link.path, BODY, content_type="application/x-www-form-urlencoded", secure=True)
        else:
            answer = bare.post(link.path, {"List-Unsubscribe": "One-Click"}, secure=True)
        assert answer.status_code == 200 and not answer.cookies
    assert readers(show, segment) == ()
    assert show.suppressions.count() == 1


@pytest.mark.parametrize("method", ["get", "head"])
def test_a_get_changes_nothing_and_asks(news, show, method):
    """RFC 8058, 1 and 3.1: software fetches addresses it finds in mail; that must not unsubscribe anybody."""
    _, link, segment = news
    answer = getattr(Client(), method)(link.path, secure=True)
    assert answer.status_code == (200 if method == "get" else 405)
    assert not show.suppressions.exists() and len(readers(show, segment)) == 1


def test_the_list_names_itself_and_its_archive(news, show, client):
    """RFC 2919, 2 and 3: one List-Id within the sender's own domain, at most 255 octets; RFC 2369, 3.4 and 3.6."""
    mail, _, _ = news
    (name,) = mail.get_all("List-Id")
    assert name == "<tideline.updates.studio.example>" and len(name) <= 255
    assert mail.get_all("List-Archive") == ["<https://studio.example/show/tideline/updates/>"]
    assert client.get("/show/tideline/updates/").status_code == 200
    assert mail.get_all("List-Post") == ["NO"]


def test_no_answering_machine_is_asked_to_answer(news):
    """RFC 3834, 5: what a program sends by itself says auto-generated, and is not answered by other programs."""
    mail, _, _ = news
    assert mail.get_all("Auto-Submitted") == ["auto-generated"]


def test_mail_about_ones_own_order_is_no_list(show, public):
    """RFC 2369, 4: the fields are for lists; who orders is on none."""
    place(show)
    message = OutboxMessage.objects.get(name="pledge_placed")
    assert not any(name.startswith("List-") for name in message.headers)
