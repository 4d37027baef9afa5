"""
Public pages kept for a moment in front of Django, so that a crowd of strangers costs one rendering a second.

A WSGI application around the site's, one in each web process; nothing is shared and nothing needs to be told of a
change. Kept is only what its view calls public, for readers without a cookie: whoever is signed in, or has ordered,
sees what is in the database now.
"""

import gzip
import hashlib
import re
import secrets
import threading
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

from config.logs import log_answer

Environ = dict[str, Any]
Headers = list[tuple[str, str]]
StartResponse = Callable[..., Any]
Application = Callable[[Environ, StartResponse], Iterable[bytes]]
Key = tuple[str, ...]

GRACE_S = 3.0  # how long the old page goes on being given out while one thread renders the new one
LARGEST_BYTES = 2_000_000
ALL_BYTES = 32_000_000  # of one process; what was rendered longest ago goes first
_QUERY = re.compile(r"(?:from=[\w.~%+-]{1,90})?")  # a link with a tag; any other question is Django's to answer
_TEXT = re.compile(r"text/|image/svg|application/(?:json|xml|atom)")


@dataclass(frozen=True, slots=True)
class Page:
    """An answer as it was rendered; `headers` without what differs from reader to reader."""

    route: str
    etag: str
    headers: Headers
    body: bytes
    zipped: bytes  # empty where that would gain nothing
    until_s: float

    @property
    def bytes_kept(self) -> int:
        """Room it takes."""
        return len(self.body) + len(self.zipped)


@dataclass(slots=True)
class Place:
    """Where the page of a key is kept; whoever holds the lock renders the next one."""

    page: Page
    lock: threading.Lock = field(default_factory=threading.Lock)


class Front:
    """The site's application with its public pages kept for `seconds`; 0 keeps nothing."""

    def __init__(self, application: Application, *, seconds: float) -> None:
        self.application, self.seconds = application, seconds
        self._places: dict[Key, Place] = {}
        self._room = threading.Lock()
        self._bytes_kept = 0

    def __call__(self, environ: Environ, start_response: StartResponse) -> Iterable[bytes]:
        key = _key(environ) if self.seconds else None
        if key is None:
            return self.application(environ, start_response)
        place = self._places.get(key)
        if place is None:
            if environ["REQUEST_METHOD"] == "HEAD":
                return self.application(environ, start_response)
            return self._render(key, environ, start_response)
        started_s = time.monotonic()
        page = place.page
        if page.until_s < started_s and environ["REQUEST_METHOD"] == "GET":
            # One renders; the others get the page of a moment ago, or wait where that is older than it may be.
            if place.lock.acquire(blocking=page.until_s + GRACE_S < started_s):
                try:
                    page = place.page  # somebody may have been quicker while we waited
                    if page.until_s < time.monotonic():
                        return self._render(key, environ, start_response)
                finally:
                    place.lock.release()
        elif page.until_s + GRACE_S < started_s:
            return self.application(environ, start_response)
        return _answer(page, environ, start_response, started_s=started_s)

    def _render(self, key: Key, environ: Environ, start_response: StartResponse) -> Iterable[bytes]:
        said: list[Any] = []
        answer: Any = self.application(environ, lambda *words: said.append(words))
        [(status, headers, *_)] = said
        if not _is_for_all(answer, status, headers):
            self._forget(key)
            start_response(status, headers)
            return answer  # type: ignore[no-any-return]  # what the application gave
        try:
            body = b"".join(answer)
        finally:
            answer.close()
        page = _page(answer, headers, body, until_s=time.monotonic() + self.seconds)
        self._keep(key, page)
        return _send(page, environ, start_response, number=dict(headers)["X-Request-Id"])

    def _keep(self, key: Key, page: Page) -> None:
        with self._room:
            place = self._places.pop(key, None)
            if place:
                self._bytes_kept -= place.page.bytes_kept
                place.page = page
            self._places[key] = place or Place(page)
            self._bytes_kept += page.bytes_kept
            while self._bytes_kept > ALL_BYTES:
                oldest = next(iter(self._places))
                self._bytes_kept -= self._places.pop(oldest).page.bytes_kept

    def _forget(self, key: Key) -> None:
        with self._room:
            place = self._places.pop(key, None)
            if place:
                self._bytes_kept -= place.page.bytes_kept


def _key(environ: Environ) -> Key | None:
    """What the answer may depend on; None where it depends on who asks, or is no page."""
    if environ["REQUEST_METHOD"] not in ("GET", "HEAD") or "HTTP_COOKIE" in environ or "HTTP_AUTHORIZATION" in environ:
        return None
    query = environ.get("QUERY_STRING", "")
    if not _QUERY.fullmatch(query):
        return None
    names = ("wsgi.url_scheme", "HTTP_X_FORWARDED_PROTO", "HTTP_HOST", "SCRIPT_NAME", "PATH_INFO")
    return (*(str(environ.get(name, "")) for name in names), query)


def _is_for_all(answer: Any, status: str, headers: Headers) -> bool:
    """A whole page that its view calls public and that is the same for everybody."""
    said = {name.lower(): value for name, value in headers}
    asked = {word.strip() for word in said.get("cache-control", "").split(",")}
    return (
        status.startswith("200 ")
        and getattr(answer, "streaming", True) is False
        and "public" in asked
        and "set-cookie" not in said
        and "content-encoding" not in said
        and said.get("vary", "accept-encoding").strip().lower() == "accept-encoding"
        and "'nonce-" not in said.get("content-security-policy", "")
        and int(said.get("content-length", LARGEST_BYTES + 1)) <= LARGEST_BYTES
    )


def _page(answer: Any, headers: Headers, body: bytes, *, until_s: float) -> Page:
    own = ("content-length", "x-request-id", "vary", "etag")
    kept = [(name, value) for name, value in headers if name.lower() not in own]
    zipped = gzip.compress(body, 6, mtime=0) if _TEXT.match(answer.headers.get("Content-Type", "")) else b""
    etag = hashlib.sha256(body).hexdigest()[:32]
    return Page(answer.route, etag, [*kept, ("Vary", "Accept-Encoding")], body, zipped, until_s)


def _answer(page: Page, environ: Environ, start_response: StartResponse, *, started_s: float) -> Iterable[bytes]:
    """Give out a kept page, with a number and a line in the log of its own."""
    number = secrets.token_hex(6)
    body = _send(page, environ, start_response, number=number)
    status = 200 if body or environ["REQUEST_METHOD"] == "HEAD" else 304
    log_answer(method=environ["REQUEST_METHOD"], route=page.route, status=status, started_s=started_s, request=number)
    return body


def _send(page: Page, environ: Environ, start_response: StartResponse, *, number: str) -> list[bytes]:
    is_zipped = bool(page.zipped) and _takes_gzip(environ.get("HTTP_ACCEPT_ENCODING", ""))
    etag = f'"{page.etag}-gzip"' if is_zipped else f'"{page.etag}"'
    headers = [*page.headers, ("ETag", etag), ("X-Request-Id", number)]
    if _has(environ.get("HTTP_IF_NONE_MATCH", ""), etag):
        start_response("304 Not Modified", [pair for pair in headers if pair[0].lower() != "content-type"])
        return []
    body = page.zipped if is_zipped else page.body
    if is_zipped:
        headers.append(("Content-Encoding", "gzip"))
    start_response("200 OK", [*headers, ("Content-Length", str(len(body)))])
    return [] if environ["REQUEST_METHOD"] == "HEAD" else [body]


def _takes_gzip(accepted: str) -> bool:
    """Whether Accept-Encoding names gzip and does not put it at nothing (RFC 9110, 12.5.3)."""
    for part in accepted.split(","):
        name, _, weight = part.partition(";")
        if name.strip().lower() in ("gzip", "x-gzip"):
            return not re.fullmatch(r"\s*q=0(?:\.0*)?\s*", weight)
    return False


def _has(asked: str, etag: str) -> bool:
    """Whether If-None-Match names `etag`, or anything at all; compared weakly (RFC 9110, 13.1.2)."""
    return any(tag.strip().removeprefix("W/") in (etag, "*") for tag in asked.split(",")) if asked else False
