"""
Whatever is sent to any form: an answer that is not an error of the server, and nothing sent back as markup.

Stated limits: every form of the site, every field of it, most texts of the corpus and some made up; 20,000 requests and
more, 0 errors of the server, 0 unescaped echoes.
"""

import random
import re
import time

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from campaign.access import make_pledge_token
from campaign.models import Pledge
from tests.builders import NOW, make_draft
from tests.campaign.views.order_flow import GIFT, ORDER, fetch
from tests.campaign.views.studio_forms import filled
from tests.reliability import record
from tests.studio_pages import DOORS, FORM, PAGES, make_things
from tests.undone import undone

pytestmark = [pytest.mark.faults, pytest.mark.timeout(1200)]
MARK = "<script>zq7()</script>"
CORPUS = [
    "",
    " ",
    "\0",
    "a\0b",
    MARK,
    f"\"'>{MARK}",
    "{{7*7}}{% debug %}",
    "${7*7}",
    "<img src=x onerror=zq7()>",
    "javascript:zq7()",
    '=HYPERLINK("http://x")',
    "+1+1",
    "-2+3",
    "@SUM(A1)",
    "\t=1",
    "＝1+1",
    "'; DROP TABLE x;--",
    "../../etc/passwd",
    "..\\..\\boot.ini",
    "/dev/null",
    "file:///etc/passwd",
    "a@b.example\r\nBcc: c@d.example",
    "x\r\nSet-Cookie: a=b",
    "%0d%0aX: y",
    "\u202egnp.exe",
    "\u200f\u05d0\u05d1\u05d2",
    "مرحبا بالعالم",
    "שלום",
    "👩‍👩‍👧‍👦🏳️‍🌈",
    "Z͑ͫ̓ͪ̂ͫ̽͏̴̙̤̞a̴̵̞l̠",
    "ﷺ" * 50,
    "\ud7ff\ufffd\ufffe",
    "ß" * 300,
    "İı",
    "٣٫٥",
    "１２３",
    "1e308",
    "-1",
    "NaN",
    "Infinity",
    "1/0",
    "0x41",
    "1,2,3.4",
    "9" * 40,
    "2147483648",
    "-9223372036854775809",
    "31.02.2026",
    "2026-02-30",
    "0000-00-00",
    "99999-01-01",
    "24:61",
    "12'",
    "5 ft 3",
    "1 m 20 s",
    "%s%n%x",
    "null",
    "undefined",
    "true",
    "[]",
    '{"a":1}',
    "on",
    "\n\n\n",
    "x" * 5_000,
    "x" * 200_000,
]
LEAST = 20_000
sent: dict[str, int] = {}
trouble: list[str] = []


@pytest.fixture
def draft(db):
    """Two works only: an edit that is taken is followed by a search for the best shows."""
    draft = make_draft(state="open")
    draft.works.exclude(code__in=["w01", "w02"]).delete()
    with time_machine.travel(NOW, tick=False):
        yield draft


def send(client, url, data, *, page, field, payload):
    """One submit, whatever it does undone; notes an error of the server and anything that came back as markup."""
    with undone():
        answer = client.post(url, data)
        sent[page] = sent.get(page, 0) + 1
        body = b"" if answer.streaming else answer.content
        if answer.status_code >= 500 and answer.status_code != 503:
            trouble.append(f"{page} {field} {payload[:40]!r}: {answer.status_code}")
        if (
            MARK.encode() in body
            or b"<img src=x onerror" in body
            or b"\r\nSet-Cookie: a=b" in answer.serialize_headers()
        ):
            trouble.append(f"{page} {field} {payload[:40]!r}: came back as markup")


def made_up(chance):
    """A text of any characters, as nobody types it."""
    length = chance.choice([1, 3, 12, 60])
    ranges = ((32, 127), (1, 0xD800), (0xE000, 0x10FFFF))
    return "".join(chr(chance.randrange(*chance.choice(ranges))) for _ in range(length))


def attack(client, url, data, *, page):
    """Every field of a form with every text, and with some made-up ones; long forms take turns with the texts."""
    chance = random.Random(page)
    fields = [name for name in data if not re.search(r"-[1-9]\d*-", name) and "TOTAL_FORMS" not in name]
    for field in fields:
        texts = CORPUS if len(fields) <= 12 else chance.sample(CORPUS, 30)
        for payload in [*texts, *(made_up(chance) for _ in range(6))]:
            send(client, url, {**data, field: payload}, page=page, field=field, payload=payload)


NAMES = [name for name, (methods, _) in PAGES.items() if methods == FORM]
NAMES += [name for name, methods in DOORS.items() if methods == FORM]


def attack_the_studio(draft, ada, things):
    client = Client(raise_request_exception=False)
    client.force_login(ada)
    for name in NAMES:
        parts = [] if name in DOORS else [draft.code, *(things[part] for part in PAGES[name][1])]
        url = reverse(name, args=parts)
        data = filled(client.get(url))
        attack(client, url, (data or {"anything": "x"}) | {"save": "1"}, page=name)


def attack_the_public_pages(draft):
    client = Client(raise_request_exception=False)
    order = reverse("campaign:order", args=[draft.code])
    attack(client, f"{order}?country=DE", ORDER | fetch(client) | {"step": "check"}, page="order")
    attack(client, f"{order}?what=gift", GIFT | fetch(client, query="?what=gift") | {"step": "check"}, page="gift")
    attack(client, reverse("campaign:send_link", args=[draft.code]), {"email": "a@example.org"}, page="send_link")
    pledge = Pledge.objects.get()
    client.get(reverse("campaign:pledge_link", args=[make_pledge_token(pledge)]), follow=True)
    attack(
        client, reverse("campaign:my_address", args=[pledge.code]), {"name": "a", **pledge.address}, page="my_address"
    )
    for path in (order, reverse("campaign:show", args=[draft.code])):
        for query in ("country", "friend", "edition", "from", "what", "page"):
            for payload in CORPUS:
                answer = client.get(path, {query: payload[:4_000]})
                sent[path] = sent.get(path, 0) + 1
                if answer.status_code >= 500 or MARK.encode() in answer.content:
                    trouble.append(f"{path}?{query}={payload[:40]!r}: {answer.status_code}")


def test_forms_and_addresses_take_anything(draft, ada):
    started, things = time.monotonic(), make_things(draft)
    attack_the_public_pages(draft)
    attack_the_studio(draft, ada, things)
    total = sum(sent.values())
    record(
        "5 hostile input", requests=total, places=len(sent), errors_and_echoes=len(trouble),
        seconds=round(time.monotonic() - started),
    )  # fmt: skip
    assert not trouble, trouble[:10]
    assert total >= LEAST
