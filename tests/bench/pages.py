"""
The public page under load against a static file from the same server, and orders while ten thousand views come in.

Both sides are asked by the same crowd, alternately; the file is the page's own style sheet nearest to it in bytes sent.
"""

import re
import socket
import threading
from collections.abc import Iterator
from itertools import repeat
from statistics import median

from tests.bench.buyers import place_orders
from tests.bench.outgrown import Outgrown
from tests.bench.rows import Row
from tests.bench.visitors import Crowd, get, send_crowd

PAGE = "/show/tideline/"
VISITORS, VIEWS, ROUNDS = 16, 3_000, 5
BURST_VIEWS, BURST_PLEDGES, BURST_BUYERS = 10_000, 200, 4
PLEDGE_LIMIT_MS = 500.0
STATIC = re.compile(rb'href="(/static/[^"]+\.css)"')


def page_rows(site: Outgrown) -> list[Row]:
    """Views a second and their p99, page over file, medians of alternating runs; then the burst."""
    host = f"{site.place[0]}:{site.place[1]}"
    page, file = get(PAGE, host=host), get(_nearest_file(site, host=host), host=host)
    for request in (page, file):  # each worker has rendered the page and opened the file once
        _run(site, request, views=200)
    pages, files = [], []
    for _ in range(ROUNDS):
        pages.append(_run(site, page, views=VIEWS))
        files.append(_run(site, file, views=VIEWS))
    sizes = f"{pages[0].answers[0].size_bytes} against {files[0].answers[0].size_bytes} bytes"
    rows = [
        Row(
            f"public page, {VISITORS} visitors at once ({sizes})", median(one.per_second for one in pages),
            median(one.per_second for one in files), "/s", "static file, same server", 1.0, is_floor=True,
        ),
        Row(
            "   its p99", 1000 * median(one.p99_s for one in pages), 1000 * median(one.p99_s for one in files),
            "ms", "static file, same server", 2.0,
        ),
    ]  # fmt: skip
    return [*rows, *_burst_rows(site, page)]


def _run(site: Outgrown, request: bytes, *, views: int) -> Crowd:
    crowd = send_crowd(site.place, repeat(request, views), visitors=VISITORS)
    assert crowd.statuses() == {200}, crowd.statuses()
    return crowd


def _nearest_file(site: Outgrown, *, host: str) -> str:
    """The address of the style sheet whose bytes, as sent, come nearest to the page's."""
    plain = f"GET {PAGE} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n".encode()
    names = sorted({name.decode() for name in STATIC.findall(_whole(site, plain))})
    size = _run(site, get(PAGE, host=host), views=1).answers[0].size_bytes
    sent = {name: _run(site, get(name, host=host), views=1).answers[0].size_bytes for name in names}
    return min(sent, key=lambda name: abs(sent[name] - size))


def _whole(site: Outgrown, request: bytes) -> bytes:
    """An answer, head and body, of a connection that the server closes."""
    with socket.create_connection(site.place, timeout=30) as sock:
        sock.sendall(request)
        return b"".join(iter(lambda: sock.recv(65_536), b""))


def _burst_rows(site: Outgrown, page: bytes) -> list[Row]:
    """The slowest pledge in a hundred while views come in as fast as they are answered."""
    views: list[Crowd] = []
    is_over = threading.Event()

    def requests() -> Iterator[bytes]:
        """Ten thousand views, and more for as long as there are orders."""
        yield from repeat(page, BURST_VIEWS)
        yield from iter(lambda: None if is_over.is_set() else page, None)

    watching = threading.Thread(
        target=lambda: views.append(send_crowd(site.place, requests(), visitors=VISITORS)), name="views"
    )
    watching.start()
    try:
        pledges = place_orders(site, count=BURST_PLEDGES, buyers=BURST_BUYERS)
    finally:
        is_over.set()
        watching.join()
    [seen] = views
    assert seen.statuses() == {200}, seen.statuses()
    what = f"pledge p99 in a burst of {len(seen.answers)} views, {BURST_PLEDGES} pledges"
    return [
        Row(what, 1000 * pledges.p99_s, PLEDGE_LIMIT_MS, "ms", "limit", 1.0),
        Row("   median pledge", 1000 * pledges.median_s, PLEDGE_LIMIT_MS, "ms", "limit", None),
    ]
