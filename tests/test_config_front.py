"""Public pages kept for a moment in front of Django: the same for strangers, never for anybody who is known."""

import gzip
import json
import logging
import threading
import time
from datetime import timedelta

import pytest
from django.core.handlers.wsgi import WSGIHandler
from django.core.signals import request_finished, request_started
from django.db import close_old_connections, connection
from django.http import HttpResponse
from django.test import RequestFactory
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from campaign.models import Show
from config import front
from config.front import Front
from tests.builders import make_show

PAGE = "/show/tideline/"


@pytest.fixture(autouse=True)
def connection_of_the_test():
    """Requests end here without ending the test's connection, as Django's own test client sees to."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


class Site:
    """The whole site behind a `Front`, asked the way a server asks it."""

    def __init__(self, seconds=60.0, application=None):
        self.front = Front(application or WSGIHandler(), seconds=seconds)

    def ask(self, path=PAGE, *, method="GET", **environ):
        """Status code, headers by name, body."""
        asked = RequestFactory().generic(method, path).environ
        asked.pop("HTTP_COOKIE", None)  # the factory always brings an empty one
        asked |= {"HTTP_HOST": "127.0.0.1", **environ}
        said = []
        answer = self.front(asked, lambda status, headers, *more: said.append((status, headers)))
        body = b"".join(answer)
        getattr(answer, "close", lambda: None)()
        [(status, headers)] = said
        names = [name.lower() for name, _ in headers if name != "Set-Cookie"]
        assert len(set(names)) == len(names), "a header is said twice"
        return int(status[:3]), dict(headers), body


@pytest.fixture
def site(db):
    make_show()
    return Site()


def test_second_visitor_gets_the_same_page_without_a_query(site):
    first = site.ask()
    with CaptureQueriesContext(connection) as queries:
        second = site.ask()
    assert len(queries) == 0
    assert second[0] == first[0] == 200
    assert second[2] == first[2]
    ours = {"X-Request-Id"}
    assert {n: v for n, v in second[1].items() if n not in ours} == {n: v for n, v in first[1].items() if n not in ours}
    assert second[1]["X-Request-Id"] != first[1]["X-Request-Id"]
    assert second[1]["Content-Security-Policy"]


def test_page_is_rendered_again_when_its_time_is_over(db):
    show = make_show()
    site = Site(seconds=0.05)
    assert show.title in site.ask()[2].decode()
    Show.objects.update(title="Another name")
    time.sleep(0.06)
    assert "Another name" in site.ask()[2].decode()


def test_nothing_is_kept_where_the_seconds_are_none(db):
    make_show()
    site = Site(seconds=0)
    site.ask()
    Show.objects.update(title="Another name")
    _, headers, body = site.ask()
    assert "Another name" in body.decode()
    assert "ETag" not in headers


@pytest.mark.parametrize("known", [{"HTTP_COOKIE": "sessionid=abc"}, {"HTTP_AUTHORIZATION": "Bearer x"}])
def test_whoever_brings_a_cookie_sees_the_page_of_now(site, known):
    site.ask()
    Show.objects.update(title="Another name")
    assert "Another name" in site.ask(**known)[2].decode()
    assert "Another name" not in site.ask()[2].decode(), "nor is theirs kept for others"


@pytest.mark.parametrize("path", ["/show/tideline/order/", "/healthz", "/sign-in/", "/show/nowhere/", "/"])
def test_what_no_view_calls_public_is_never_kept(site, path):
    site.ask(path)
    assert site.front._places == {}


@pytest.mark.parametrize("method", ["POST", "PUT", "OPTIONS"])
def test_other_methods_go_past_it(site, method):
    site.ask()
    assert site.ask(method=method)[0] in (403, 405)


def test_tagged_link_has_a_page_of_its_own_and_other_questions_go_past(site):
    now = timezone.now()
    Show.objects.update(opens_at=now - timedelta(days=1), closes_at=now + timedelta(days=1))
    plain = site.ask()[2].decode()
    tagged = site.ask(QUERY_STRING="from=shopwindow")[2].decode()
    assert "shopwindow" in tagged
    assert "shopwindow" not in plain
    assert site.ask()[2].decode() == plain
    assert len(site.front._places) == 2
    site.ask(QUERY_STRING="from=shopwindow&x=1")
    assert len(site.front._places) == 2


def test_hosts_and_schemes_are_kept_apart(site):
    site.ask()
    assert site.ask(HTTP_HOST="evil.example")[0] == 400
    site.ask(HTTP_HOST="localhost")
    site.ask(HTTP_X_FORWARDED_PROTO="https")
    assert len(site.front._places) == 3


def test_reader_who_has_the_page_is_told_so(site):
    _, headers, _ = site.ask()
    status, again, body = site.ask(HTTP_IF_NONE_MATCH=f'"other", W/{headers["ETag"]}')
    assert (status, body) == (304, b"")
    assert again["ETag"] == headers["ETag"]
    assert again["Cache-Control"] == headers["Cache-Control"]
    assert "Content-Length" not in again
    assert site.ask(HTTP_IF_NONE_MATCH='"other"')[0] == 200


def test_changed_page_has_another_etag(db):
    make_show()
    site = Site(seconds=0.01)
    _, headers, _ = site.ask()
    Show.objects.update(title="Another name")
    time.sleep(0.02)
    assert site.ask(HTTP_IF_NONE_MATCH=headers["ETag"])[0] == 200


@pytest.mark.parametrize(
    ("accepted", "is_zipped"),
    [("gzip, br", True), ("br;q=1.0, gzip;q=0.8", True), ("gzip;q=0", False), ("identity", False), ("", False)],
)
def test_page_is_zipped_for_who_takes_it(site, accepted, is_zipped):
    plain = site.ask()
    status, headers, body = site.ask(HTTP_ACCEPT_ENCODING=accepted)
    assert status == 200
    assert headers["Vary"] == "Accept-Encoding"
    assert int(headers["Content-Length"]) == len(body)
    assert (headers.get("Content-Encoding") == "gzip") == is_zipped
    assert (headers["ETag"] != plain[1]["ETag"]) == is_zipped
    assert (gzip.decompress(body) if is_zipped else body) == plain[2]


def test_head_has_the_headers_and_no_body(site):
    assert site.ask(method="HEAD")[0] == 200
    assert site.front._places == {}, "a page is not kept for who wants its head only"
    page = site.ask()
    status, headers, body = site.ask(method="HEAD")
    assert (status, body) == (200, b"")
    assert headers["Content-Length"] == str(len(page[2]))
    assert headers["ETag"] == page[1]["ETag"]


def test_page_that_is_taken_down_is_gone(db):
    make_show()
    site = Site(seconds=0.01)
    site.ask()
    Show.objects.update(state=Show.State.DRAFT)
    time.sleep(0.02)
    assert site.ask()[0] == 404
    assert site.front._places == {}


def test_every_visit_has_its_line_in_the_log(site, caplog, monkeypatch):
    monkeypatch.setattr(logging.getLogger("wallful.request"), "level", logging.INFO)
    caplog.set_level(logging.INFO, logger="wallful.request")
    headers = [site.ask()[1], site.ask()[1], site.ask(HTTP_IF_NONE_MATCH="*")[1]]
    lines = [record.msg for record in caplog.records if record.name == "wallful.request"]
    assert [line["route"] for line in lines] == ["campaign:show"] * 3
    assert [line["status"] for line in lines] == [200, 200, 304]
    assert [line["request"] for line in lines] == [one["X-Request-Id"] for one in headers]
    assert PAGE not in json.dumps(lines, default=str)


def _public(body=b"page", **headers):
    answer = HttpResponse(body, headers={"Cache-Control": "public, max-age=30", **headers})
    answer.headers["Content-Length"], answer.headers["X-Request-Id"] = str(len(body)), "1"
    answer.route = "test"
    return answer


def _application(answer):
    def application(environ, start_response):
        made = answer()
        cookies = [("Set-Cookie", morsel.OutputString()) for morsel in made.cookies.values()]
        start_response(f"{made.status_code} x", [*made.items(), *cookies])
        return made

    return application


@pytest.mark.parametrize(
    "headers",
    [
        {"Vary": "Cookie"}, {"Cache-Control": "private"}, {"Cache-Control": "no-store"}, {"Content-Encoding": "br"},
        {"Content-Security-Policy": "script-src 'nonce-abc'"},
    ],
)  # fmt: skip
def test_what_may_differ_from_reader_to_reader_is_never_kept(headers):
    site = Site(application=_application(lambda: _public(**headers)))
    assert site.ask()[0] == 200
    assert site.front._places == {}


def test_answer_that_sets_a_cookie_is_never_kept():
    def answer():
        made = _public()
        made.set_cookie("a", "b")
        return made

    site = Site(application=_application(answer))
    assert site.ask()[0] == 200
    assert site.front._places == {}


def test_pages_of_invented_tags_take_no_more_room_than_is_given(monkeypatch):
    monkeypatch.setattr(front, "ALL_BYTES", 1000)
    site = Site(application=_application(lambda: _public(b"x" * 90)))
    for n in range(100):
        site.ask(QUERY_STRING=f"from=tag-{n}")
        kept = sum(place.page.bytes_kept for place in site.front._places.values())
        assert kept == site.front._bytes_kept <= 1000
    assert site.front._places


def test_one_renders_and_the_others_get_the_page_of_a_moment_ago():
    begun, go = threading.Event(), threading.Event()
    count = []

    def answer():
        count.append(1)
        if len(count) == 2:
            begun.set()
            go.wait(10)
        return _public(f"page {len(count)}".encode())

    site = Site(seconds=0.01, application=_application(answer))
    assert site.ask()[2] == b"page 1"
    time.sleep(0.02)
    slow = threading.Thread(target=site.ask)
    slow.start()
    begun.wait(10)
    assert [site.ask()[2] for _ in range(5)] == [b"page 1"] * 5
    go.set()
    slow.join(10)
    assert site.ask()[2] == b"page 2" or len(count) > 2


def test_page_older_than_the_grace_is_given_to_nobody(monkeypatch):
    monkeypatch.setattr(front, "GRACE_S", 0.0)
    begun, go = threading.Event(), threading.Event()
    count = []

    def answer():
        count.append(1)
        if len(count) == 2:
            begun.set()
            go.wait(10)
        return _public(f"page {len(count)}".encode())

    site = Site(seconds=0.2, application=_application(answer))
    site.ask()
    time.sleep(0.25)
    bodies = []
    people = [threading.Thread(target=lambda: bodies.append(site.ask()[2])) for _ in range(4)]
    people[0].start()
    begun.wait(10)
    for person in people[1:]:
        person.start()
    time.sleep(0.05)
    assert bodies == []
    go.set()
    for person in people:
        person.join(10)
    assert bodies == [b"page 2"] * 4
    assert len(count) == 2


def test_failure_while_rendering_leaves_the_next_visitor_a_page(monkeypatch):
    count = []

    def answer():
        count.append(1)
        if len(count) == 2:
            raise RuntimeError("as a broken database would")
        return _public(f"page {len(count)}".encode())

    site = Site(seconds=0.01, application=_application(answer))
    site.ask()
    time.sleep(0.02)
    with pytest.raises(RuntimeError):
        site.ask()
    assert site.ask()[2] == b"page 3"
