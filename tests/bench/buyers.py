"""Orders over HTTP as fast as the site takes them: one form each, then its last step again and again."""

import re
import secrets
import time
import urllib.parse
import uuid
from collections.abc import Iterator

from tests.bench.outgrown import Outgrown
from tests.bench.visitors import Crowd, send_crowd
from tests.buyers import Buyer

RECORDED = re.compile(rb"\r\nlocation: /my/[A-Z0-9]+/\r\n", re.IGNORECASE)


def place_orders(site: Outgrown, *, count: int, buyers: int) -> Crowd:
    """
    Let `buyers` place `count` orders of one print each, all for different people, and check that all are recorded.

    The form was opened more than two seconds before, as a person's is; its opening is not part of the time.
    """
    buyer = Buyer(f"http://{site.place[0]}:{site.place[1]}")
    buyer.open_form()
    time.sleep(2.2)
    crowd = send_crowd(site.place, _orders(site, buyer, count=count), visitors=buyers)
    refused = [one.head for one in crowd.answers if one.status != 302 or not RECORDED.search(one.head + b"\r\n")]
    assert not refused, f"{len(refused)} orders not recorded, the first: {refused[0]!r}"
    return crowd


def _orders(site: Outgrown, buyer: Buyer, *, count: int) -> Iterator[bytes]:
    run = secrets.token_hex(4)
    for number in range(count):
        fields = buyer.last_step(email=f"bench-{run}-{number}@example.org", key=uuid.uuid4())
        body = urllib.parse.urlencode(fields)
        head = (
            f"POST {buyer.path} HTTP/1.1\r\nHost: {site.place[0]}:{site.place[1]}\r\nCookie: {buyer.cookie}\r\n"
            f"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {len(body)}\r\n\r\n"
        )
        yield (head + body).encode()
