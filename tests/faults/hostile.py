"""Sends what `nasty.py` has to the forms of a site and notes every answer that is a fault; each request is undone."""

import gc
import logging
import re
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from html.parser import HTMLParser
from http.cookies import SimpleCookie
from typing import Any
from urllib.parse import quote, urlencode, urlsplit

from django.core.signals import got_request_exception
from django.db import connection
from django.http import QueryDict
from django.test import Client
from django.urls import Resolver404, resolve

from campaign.models import OutboxMessage
from tests.alone import let_in
from tests.faults import nasty
from tests.faults.forms_on_pages import Form, filler, read_page
from tests.undone import undone

OURS = ("", "testserver")
UNKNOWN = "anything"  # a field that no form has


class PlainClient(Client):
    """A browser that keeps the cookies it was given at first, and no copy of the templates' contexts: twice as fast."""

    def request(self, **request: Any) -> Any:
        return self.handler(self._base_environ(**request))


def as_strict_as_postgresql(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
    """SQLite stores NUL in a text, PostgreSQL refuses it: a view that lets one through would fail there."""
    for row in params if many else [params]:
        if any(isinstance(value, str) and "\0" in value for value in row or ()):
            raise ValueError("A string literal cannot contain NUL (0x00) characters.")
    return execute(sql, params, many, context)


@contextmanager
def names_asked() -> Iterator[set[str]]:
    """The names that are asked of what is posted, whether there or not."""
    asked, methods = set[str](), ("__getitem__", "__contains__", "getlist")

    def noting(method: Any) -> Any:
        def ask(data: QueryDict, name: str, *more: Any) -> Any:
            if UNKNOWN in data.keys():  # noqa: SIM118 - the dictionary's own way, which is not noted
                asked.add(name)
            return method(data, name, *more)

        return ask

    for method in methods:
        setattr(QueryDict, method, noting(getattr(QueryDict, method)))
    try:
        yield asked
    finally:
        for method in methods:
            delattr(QueryDict, method)  # what it inherits is there again


def newest_mail() -> int:
    """The key of the newest mail, or 0; asked twice for each request, so not put together by the ORM each time."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT MAX(id) FROM campaign_outboxmessage")
        return cursor.fetchone()[0] or 0


def name_of(path: str) -> str:
    """The name of the page at `path`."""
    try:
        return resolve(path).view_name
    except Resolver404:
        return "nowhere"


class Attack:
    """`sent` requests by page, those `taken` as if they were meant, the `trouble` there was, and the `slowest` one."""

    def __init__(self, client: PlainClient) -> None:
        self.client, self.sent, self.taken, self.trouble = client, Counter[str](), Counter[str](), dict[str, str]()
        self.slowest = (0.0, "")
        self._raised = ""

    @contextmanager
    def going_on(self) -> Iterator[None]:
        """Hears what is raised, on a database as strict as the strictest; refusals by the thousand are not logged."""
        got_request_exception.connect(self._note)
        logging.disable(logging.CRITICAL)
        before = gc.get_threshold()
        gc.freeze()
        gc.set_threshold(20_000)  # as in a web process
        try:
            with connection.execute_wrapper(as_strict_as_postgresql):
                yield
        finally:
            gc.unfreeze()
            gc.set_threshold(*before)
            logging.disable(logging.NOTSET)
            got_request_exception.disconnect(self._note)

    def _note(self, **what: Any) -> None:
        kind, fault, trace = sys.exc_info()
        while trace and trace.tb_next:
            trace = trace.tb_next
        where = f"{trace.tb_frame.f_code.co_filename}:{trace.tb_lineno}" if trace else ""
        self._raised = f"{kind and kind.__name__} {str(fault)[:200]} at {where}"

    def send(self, method: str, url: str, *, what: str, data: Any = None, **more: Any) -> Any:
        """One request and, where it leads on, the page it leads to; nothing of it stays."""
        let_in()
        with undone():
            last = newest_mail()
            answer = self._one(method, url, what=what, data=data, **more)
            if method == "POST" and answer.status_code == 302:
                self.taken[name_of(urlsplit(url).path)] += 1
                self._follow(answer, what=f"{what}, the page after {urlsplit(url).path}")
            self._look_at_mails(last, what=f"{url} {what}")
        return answer

    def _one(self, method: str, url: str, *, what: str, data: Any = None, **more: Any) -> Any:
        self._raised, started = "", time.thread_time()
        if method == "POST" and not isinstance(data, bytes):
            answer = self.client.post(url, data or {}, **more)
        else:
            answer = self.client.generic(method, url, data or b"", **more)
        self.slowest = max(self.slowest, (time.thread_time() - started, f"{method} {url} {what}"))
        self.sent[name_of(urlsplit(url).path)] += 1
        for fault in self._faults(answer):
            self._complain(f"{method} {name_of(urlsplit(url).path)}: {fault}", what)
        return answer

    def _follow(self, answer: Any, *, what: str) -> None:
        target = answer["Location"]
        if urlsplit(target).netloc not in OURS or target.startswith(("//", "\\", "/\\")):
            self._complain(f"leads to another site: {target[:80]}", what)
            return
        kept = self.client.cookies
        self.client.cookies = SimpleCookie({**kept, **answer.cookies})
        self._one("GET", target, what=what)
        self.client.cookies = kept

    def _faults(self, answer: Any) -> Iterator[str]:
        if answer.status_code >= 500:
            yield f"{answer.status_code} {self._raised}"
        for name, value in answer.headers.items():
            if name.lower() == "zq7" or re.search(r"[\r\n\0]", value):
                yield f"the header {name} was taken over"
        if not answer.streaming and answer.headers.get("Content-Type", "").startswith("text/html"):
            yield from raw_in(answer.content)

    def _look_at_mails(self, last: int, *, what: str) -> None:
        for mail in OutboxMessage.objects.filter(pk__gt=last) if newest_mail() > last else ():
            for fault in raw_in(mail.html.encode()):
                self._complain(f"mail {mail.name}: {fault}", what)
            if re.search(r"[\r\n\0]", mail.subject + mail.recipient):
                self._complain(f"mail {mail.name}: more than one line in a header", what)

    def _complain(self, fault: str, what: str) -> None:
        self.trouble.setdefault(fault, what)

    # --- forms ----------------------------------------------------------------------------------------------

    def find_forms(self, *urls: str) -> list[Form]:
        """The forms of these pages, each once."""
        found: dict[tuple[str, ...], Form] = {}
        for url in urls:
            answer = self.send("GET", url, what="as it is")
            if answer.headers.get("Content-Type", "").startswith("text/html"):
                for form in read_page(answer.content.decode(), address=url)[0]:
                    found.setdefault((name_of(urlsplit(form.action).path), *sorted({*form.fields, *form.files})), form)
        return list(found.values())

    def bare_form(self, url: str) -> Form:
        """A form for an address that no form leads to: with the fields that are asked for when it is sent."""
        form = Form(url, "post")
        for _ in range(3):  # what is asked for once the first fields are there
            with names_asked() as asked:
                self.send("POST", url, what="bare", data=form.values | {UNKNOWN: "x"})
            form.values = {name: filler(name) for name in sorted(asked)} | form.values
        return form

    def submit(self, form: Form, changes: dict[str, Any], *, turn: int, what: str) -> None:
        """Send the form with `changes` typed into it, by the button whose turn it is."""
        action, name, value = form.buttons[turn % len(form.buttons)] if form.buttons else (form.action, "", "")
        data = form.values | ({name: value} if name else {}) | changes
        if form.method == "get":
            query = urlencode({key: str(value)[:4_000] for key, value in data.items()}, errors="replace")
            self.send("GET", action.partition("?")[0], what=what, QUERY_STRING=query)
        else:
            self.send("POST", action, what=what, data=data)

    def type_into(self, form: Form, *, each: int) -> None:
        """Every text into every field: all fields at once, each with another; and `each` into one field alone."""
        texts, fields = nasty.TEXTS, form.fields
        for turn, text in enumerate(texts if fields else ["as it is", "as it is"]):
            changes = {field: texts[(turn + 7 * at) % len(texts)] for at, field in enumerate(fields)}
            self.submit(form, changes, turn=turn, what=f"all at once from {text[:40]!r}")
        for at, field in enumerate(fields):
            for turn in range(each):
                text = texts[(at * each + turn) % len(texts)]
                self.submit(form, {field: text}, turn=turn, what=f"{field} {text[:40]!r}")
            self.submit(form, {field: nasty.LONG}, turn=0, what=f"{field} of 200,000 letters")

    def send_files(self, form: Form) -> None:
        """Every file into the form's fields for files."""
        for field in form.files:
            for turn, (what, *file) in enumerate(nasty.files()):
                name, value = form.buttons[turn % len(form.buttons)][1:] if form.buttons else ("", "")
                body = nasty.in_parts(form.values | ({name: value} if name else {}), field=field, file=file)
                self.send("POST", form.action, what=f"{field}: {what}", data=body, content_type=nasty.PARTS_TYPE)

    # --- addresses, bodies, headers ---------------------------------------------------------------------------

    def send_bodies(self, url: str, *, turn: int) -> None:
        """Whole requests that are no form: to one address those at even places, to the next those at odd ones."""
        for what, kind, body in nasty.REQUESTS[turn % 2 :: 2]:
            self.send("POST", url, what=what, data=body, content_type=kind)

    def bend_address(self, url: str, *, method: str) -> None:
        """Another text in the place of each code in the address."""
        parts = urlsplit(url).path.split("/")
        for at, part in enumerate(parts):
            if not part or (part.islower() and part.isalpha() and part != "tideline"):
                continue  # a word of the address, no code of a thing
            for text in nasty.TEXTS[at % 3 :: 24]:
                bent = "/".join([*parts[:at], quote(text[:1_000], safe="", errors="replace"), *parts[at + 1 :]])
                self.send(method, bent, what=f"{text[:40]!r} in {url}")

    def bend_query(self, url: str, *names: str) -> None:
        """Every text after the question mark."""
        for name in names:
            for text in nasty.TEXTS:
                query = urlencode({name: text[:4_000]}, errors="replace")
                self.send("GET", url, what=f"?{name}={text[:40]!r}", QUERY_STRING=query)

    def bend_headers(self, url: str) -> None:
        """Headers of a broken browser, or of none."""
        for headers in nasty.HEADERS:
            for method in ("GET", "POST", "HEAD", "OPTIONS", "PUT", "ZQ7"):
                self.send(method, url, what=f"{method} with {str(headers)[:60]}", **headers)


class _Executed(HTMLParser):
    """Collects what a browser would run or follow of our texts; the same words as text are no fault."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if ("src", "x") in attrs or (tag == "script" and "src" not in dict(attrs)):
            self.found.append(f"<{tag}>")
        for name, value in attrs:
            target = re.sub(r"\s", "", value or "").lower()
            if name.startswith("on") or (name in nasty.LEADING and target.startswith(nasty.RUN)):
                self.found.append(f"<{tag} {name}={value}>")


def raw_in(html: bytes) -> Iterator[str]:
    """What came back as more than text. Most pages hold nothing like it; only the others are read as a browser does."""
    if nasty.EVALUATED in html:
        yield "a template was evaluated"
    if nasty.is_suspect(html):
        reader = _Executed()
        reader.feed(html.decode(errors="replace"))
        yield from (f"came back raw: {one[:120]}" for one in reader.found)
