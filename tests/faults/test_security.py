"""
What strangers can learn, send and reach: headers, equal answers, links, files, and addresses that nothing may ask.

Stated limits: the headers of each kind of page as listed here; known and unknown addresses answered alike, medians of
200 questions each within 1.2; every misuse of a link refused; no file makes an error of the server; 0 connections to
the canary, whatever names it.
"""

import contextlib
import json
import re
import socket
import statistics
import threading
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from campaign import access
from campaign.models import Funder, LinkRequest, OutboxMessage, Picture, Pledge, RateCount, Suppression
from campaign.services.links import answer_link_requests
from tests.builders import NOW, make_show, place
from tests.campaign.views.order_flow import hidden
from tests.campaign.views.studio_forms import filled
from tests.faults.uploads import corpus
from tests.fulfilment.scene import close, end, order, print_all, work
from tests.processes import environment, run
from tests.reliability import record

pytestmark = [pytest.mark.faults, pytest.mark.timeout(300)]
SELF = "'self'"
CSP = {
    "default-src": "'none'", "script-src": SELF, "style-src": SELF, "img-src": f"{SELF} data:", "font-src": SELF,
    "connect-src": SELF, "base-uri": "'none'", "form-action": SELF, "frame-ancestors": "'none'", "object-src": "'none'",
    "manifest-src": SELF,
}  # fmt: skip
EVERYWHERE = {
    "Cross-Origin-Opener-Policy": "same-origin", "Referrer-Policy": "same-origin", "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY", "Strict-Transport-Security": "max-age=31536000; includeSubDomains",
}  # fmt: skip
NEVER_KEPT = "max-age=0, no-cache, no-store, must-revalidate, private"
COOKIE = {"secure": True, "samesite": "Lax", "path": "/", "domain": ""}
TOKEN, VISIT = COOKIE | {"httponly": False}, COOKIE | {"httponly": True}
# Of each page: status, what a cache is told, and the cookies it sets.
PAGES = {
    "public page": (200, "public, max-age=30, stale-while-revalidate=60", {}),
    "order form": (200, NEVER_KEPT, {"__Host-csrftoken": TOKEN}),
    "private link": (302, NEVER_KEPT, {"__Host-pledge": VISIT}),
    "own order": (200, NEVER_KEPT, {}),
    "own order, a stranger": (403, NEVER_KEPT, {}),
    "sign in": (200, NEVER_KEPT, {"__Host-csrftoken": TOKEN}),
    "studio": (200, NEVER_KEPT, {"__Host-csrftoken": TOKEN}),
    "studio, a stranger": (302, NEVER_KEPT, {}),
    "pledges as CSV": (200, NEVER_KEPT, {}),
    "calendar": (200, "private, no-cache", {}),
    "not there": (404, None, {}),
}
PUBLIC_HOST = {
    "WALLFUL_DEBUG": "0", "WALLFUL_SECRET_KEY": "a secret of this test, which is longer than fifty characters",
    "WALLFUL_PUBLIC_URL": "https://wallful.example", "WALLFUL_HOSTS": "wallful.example,testserver",
    "WALLFUL_BEHIND_PROXY": "1",
}  # fmt: skip
QUESTIONS, MOST_RATIO = 200, 1.2


def test_every_kind_of_page_says_what_a_browser_may_do(tmp_path: Path):
    env = environment(PUBLIC_HOST | {"WALLFUL_DATA": str(tmp_path)})
    run("manage.py", "collectstatic", "--noinput", env=env)
    found = json.loads(run("-m", "tests.faults.headers", env=env))
    plain = found.pop("plain http")
    assert (plain["status"], plain["cookies"]) == (301, {})
    told = {
        name: (page["status"], page["headers"].get("Cache-Control"), page["cookies"]) for name, page in found.items()
    }
    record("17 headers", kinds_of_page=len(found), differ=sum(told[name] != PAGES[name] for name in PAGES))
    assert told == PAGES
    for name, page in found.items():
        headers = page["headers"]
        said = dict(part.strip().split(" ", 1) for part in headers["Content-Security-Policy"].split(";"))
        assert said == CSP, name
        assert headers.items() >= EVERYWHERE.items(), name
        assert headers.keys() - EVERYWHERE.keys() <= {
            "Cache-Control", "Content-Disposition", "Content-Language", "Content-Security-Policy", "Content-Type",
            "Vary", "X-Robots-Tag",
        }, name  # fmt: skip


def comparable(answer) -> str:
    """A page without what differs each time it is made: tokens, keys and moments in hidden fields."""
    return re.sub(r'(<input type="hidden" name="\w+" value=)"[^"]*"', r"\1", answer.content.decode())


def test_nobody_learns_who_has_ordered(show):
    place(show, email="mary@example.org")
    url, client = reverse("campaign:send_link", args=[show.code]), Client()
    seconds: dict[str, list[float]] = {"mary@example.org": [], "nobody@example.org": []}
    bodies = set()
    with time_machine.travel(NOW) as clock:
        fields = hidden(client.get(url))
        clock.shift(5)
        client.post(url, fields | {"email": "first@example.org"})  # what is loaded once is loaded
        for number in range(QUESTIONS):
            pair = list(seconds)
            for email in pair if number % 2 else pair[::-1]:
                RateCount.objects.all().delete()
                started = time.perf_counter()
                answer = client.post(url, fields | {"email": email})
                seconds[email].append(time.perf_counter() - started)
                bodies.add((answer.status_code, comparable(answer)))
        strangers = {comparable(client.get(f"/my/{code}/")) for code in (Pledge.objects.get().code, "ABCDEFGHJKMN")}
        passwords = {
            comparable(client.post("/sign-in/", {"username": name, "password": "wrong wrong wrong"}))
            for name in ("ada", "nobody")
        }
    medians = [statistics.median(times) for times in seconds.values()]
    ratio = max(medians) / min(medians)
    record(
        "17 enumeration", questions=QUESTIONS, different_answers=len(bodies) - 1, ratio_of_medians=round(ratio, 3),
        median_ms=round(medians[0] * 1000, 2),
    )  # fmt: skip
    assert len(bodies) == len(strangers) == 1
    assert len({re.sub("ada|nobody", "", page) for page in passwords}) == 1
    assert ratio < MOST_RATIO
    while LinkRequest.objects.exists():
        answer_link_requests(now=NOW)
    links = OutboxMessage.objects.filter(name="link_again")
    assert set(links.values_list("recipient", flat=True)) == {"mary@example.org"}


def test_a_link_opens_one_thing_while_it_is_valid(show):
    pledge, other = place(show), place(show)
    token = access.make_pledge_token(pledge)
    news, visit = access.make_news_token(pledge), access.make_visit(pledge)
    calendar = access.make_calendar_token(show)
    visitor = Client()
    misused = {
        "pledge link as unsubscribe link": f"/u/{token}/",
        "unsubscribe link as pledge link": f"/m/{news}/",
        "visit as pledge link": f"/m/{visit}/",
        "calendar link as pledge link": f"/m/{calendar}/",
        "pledge link as calendar": f"/calendar/{token}.ics",
        "last letter changed": f"/m/{token[:-1]}{'A' if token[-1] != 'A' else 'B'}/",
        "cut": f"/m/{token[:-5]}/",
        "nothing signed": "/m/eyJwIjoiQUJDIn0/",
    }
    answers = {name: visitor.get(path).status_code for name, path in misused.items()}
    with time_machine.travel(NOW, tick=False) as clock:
        assert visitor.get(f"/m/{token}/").status_code == 302
        own = f"/my/{pledge.code}/"
        assert visitor.get(own).status_code == 200
        answers["another's order with one's own visit"] = visitor.get(f"/my/{other.code}/").status_code
        visitor.cookies["pledge"] = access.make_pledge_token(pledge)
        answers["pledge link as visit"] = visitor.get(own).status_code
        assert visitor.get(f"/m/{token}/").status_code == 302, "a link in a mail may be opened again"
        clock.shift(timedelta(seconds=access.VISIT_SECONDS + 1))
        visitor.cookies["pledge"] = visitor.cookies["pledge"].value  # as if the browser had kept it
        answers["visit after its half hour"] = visitor.get(own).status_code
    Pledge.objects.filter(pk=pledge.pk).update(link_version=pledge.link_version + 1)
    answers["withdrawn"] = visitor.get(f"/m/{token}/").status_code
    record("17 links", misuses=len(answers), opened=sum(status < 400 for status in answers.values()))
    assert {name: status for name, status in answers.items() if status not in (403, 404)} == {}
    assert not Suppression.objects.exists()


@contextlib.contextmanager
def canary() -> Iterator[tuple[str, list[bytes]]]:
    """Somebody listens on this machine who must never be asked: the address, and what was said to them."""
    heard: list[bytes] = []
    with socket.create_server(("127.0.0.1", 0)) as listener:

        def listen() -> None:
            with contextlib.suppress(OSError):
                while True:
                    connection, _ = listener.accept()
                    heard.append(connection.recv(200))
                    connection.close()

        threading.Thread(target=listen, daemon=True).start()
        yield f"http://127.0.0.1:{listener.getsockname()[1]}", heard
        with socket.create_connection(listener.getsockname()) as probe:  # it does hear
            probe.sendall(b"probe")
        until = time.monotonic() + 5
        while not heard and time.monotonic() < until:
            time.sleep(0.01)
        assert heard.pop() == b"probe"


def test_no_file_makes_an_error_or_reaches_out(ada, db):
    show = make_show()
    client = Client(raise_request_exception=False)
    client.force_login(ada)
    places = {
        name: reverse(f"campaign:{name}", args=[show.code, *more])
        for name, more in {"bank": (), "compare_book": (), "work": ("w01",), "new_work": ()}.items()
    }
    sent, errors, kept = 0, [], set()
    with canary() as (address, heard), time_machine.travel(NOW):
        for name, url in places.items():
            data = filled(client.get(url)) | {"save": "1"}
            field = "picture" if "work" in name else "file"
            for file_name, content in corpus(address).items():
                before = Picture.objects.count()
                answer = client.post(url, data | {field: SimpleUploadedFile(file_name, content)})
                sent += 1
                if answer.status_code >= 500:
                    errors.append(f"{name} {file_name}: {answer.status_code}")
                if b"<script>zq7()" in answer.content:
                    errors.append(f"{name} {file_name}: came back as markup")
                if Picture.objects.count() > before:
                    kept.add(file_name)
    record("17 uploads", files=sent, errors=len(errors), canary_hits=len(heard))
    assert errors == []
    assert heard == []
    assert kept <= {f"good.{kind}" for kind in ("png", "jpg", "webp")} | {"with-a-tail.png"}


def test_words_of_strangers_reach_nobody_from_papers_and_pages(ada, db):
    with canary() as (address, heard):
        tags = (
            f'<img src="{address}/i">![x]({address}/m)<link rel=attachment href="{address}/a">'
            f"<style>@import url({address}/c)</style>"
        )
        show = make_show(statement=f"{tags}\n\n[link]({address}/l) <{address}/auto>")
        show.editions.update(title=tags[:100], description=tags)
        order(show, name=f'<img src="{address}/n">')
        funder = Funder.objects.create(show=show, kind="sponsor", name=tags[:100])
        client = Client()
        client.force_login(ada)
        with time_machine.travel(NOW):
            page = client.get(f"/show/{show.code}/").content.decode()
            prospectus = client.get(reverse("campaign:prospectus", args=[show.code, funder.code]))
        assert prospectus.status_code == 200 and prospectus.content.startswith(b"%PDF")
        close(show)
        print_all(show)
        assert work(end(show)) == "done"
    record("17 canary", papers=4, hits=len(heard))
    assert heard == []
    assert "<img" not in page.partition('id="statement"')[2].partition("</section>")[0]
