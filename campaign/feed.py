"""A feed of news (Atom, RFC 4287); the only file that writes one."""

import re
import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from xml.etree import ElementTree

ATOM = "http://www.w3.org/2005/Atom"
CONTENT_TYPE = "application/atom+xml; charset=utf-8"
# Names of feeds and entries are made from it and from random codes: they outlive a change of the site's address.
NAMESPACE = uuid.UUID("8d4f0a36-5c1e-5b8e-9d27-40f6f3f7c2a1")
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # XML 1.0, production 2
ElementTree.register_namespace("", ATOM)


@dataclass(frozen=True, slots=True)
class FeedEntry:
    """One piece of news: its random code, its own page, its words as HTML with whole links."""

    code: str
    title: str
    link: str
    html: str
    published_at: datetime


def write_feed(
    *,
    code: str,
    title: str,
    author: str,
    address: str,
    page: str,
    updated_at: datetime,
    entries: Iterable[FeedEntry],
) -> bytes:
    """
    The feed at `address` about what stands on `page`; the same entries give the same bytes.

    Notes: published news never changes, so an entry was updated when it was published. What XML cannot hold (control
        characters) is left out.
    """
    feed = ElementTree.Element(f"{{{ATOM}}}feed")
    _add(feed, "id", _name("feed", code))
    _add(feed, "title", title)
    _add(feed, "updated", _moment(updated_at))
    _add(feed, "link", rel="self", type="application/atom+xml", href=address)
    _add(feed, "link", rel="alternate", type="text/html", href=page)
    _add(_add(feed, "author"), "name", author)
    for one in entries:
        entry = _add(feed, "entry")
        _add(entry, "id", _name("entry", one.code))
        _add(entry, "title", one.title)
        _add(entry, "published", _moment(one.published_at))
        _add(entry, "updated", _moment(one.published_at))
        _add(entry, "link", rel="alternate", type="text/html", href=one.link)
        _add(entry, "content", one.html, type="html")
    written: bytes = ElementTree.tostring(feed, encoding="utf-8", xml_declaration=True)
    return written


def _add(parent: ElementTree.Element, name: str, text: str = "", **attributes: str) -> ElementTree.Element:
    child = ElementTree.SubElement(parent, f"{{{ATOM}}}{name}", attributes)
    child.text = _NOT_XML.sub("", text) or None
    return child


def _name(kind: str, code: str) -> str:
    return uuid.uuid5(NAMESPACE, f"{kind}:{code}").urn


def _moment(instant: datetime) -> str:
    """RFC 3339 in UTC, to the second."""
    return instant.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
