"""
Whatever is sent to any form: an answer that is not an error of the server, and nothing sent back as markup.

The forms are found on the pages themselves, hidden fields and all buttons included, so a new one is attacked at once;
what no form leads to is listened to for the fields it asks for.
Stated limits: every form and every address of the site, every field with every text of `nasty.py`, files, bodies of
10 MB and broken headers, and texts made up by Hypothesis: 21,000 requests and more, 0 errors of the server, 0 unescaped
echoes on pages and in mails. Runs in parts, so that `-n 2` shares them out.
"""

import contextlib
import itertools
import json
import re
import time
import uuid
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
import time_machine
from django.db import connection
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from campaign.access import make_list_news_token, make_news_token, make_place_token, make_pledge_token
from campaign.errors import Refusal
from campaign.models import Copy, OutboxMessage, Pledge, Update, Waiter
from campaign.queries.basket import LineWish
from campaign.services.accounts import begin_factor
from campaign.services.late_notices import send_late_notice
from campaign.services.plans import refresh_staircase
from campaign.services.pledges import Order, cancel_pledge, place_pledge
from campaign.services.shows import import_show
from campaign.showfolder.folder import read_show_folder
from fulfilment.models import Certificate
from tests.alone import let_in
from tests.builders import BERLIN_ADDRESS, LONDON_ADDRESS, NOW, add_small_edition, make_draft, place, wait
from tests.campaign.views.order_flow import GIFT, ORDER
from tests.faults import nasty
from tests.faults.forms_on_pages import Form, read_page
from tests.faults.hostile import Attack, PlainClient, as_strict_as_postgresql, name_of, raw_in
from tests.fulfilment.scene import LATER, show_with_parcels
from tests.reliability import record
from tests.showfolders import SETTINGS, TABLES, write_folder
from tests.studio_pages import ACT, DOORS, FORM, GET, addresses, make_things, url_names
from tests.undone import undone

pytestmark = [pytest.mark.faults, pytest.mark.timeout(900)]

S = "/studio/[^/]+/"
# Which pages a part has (the first pattern that fits) and the least number of its requests.
PARTS = {
    "ordering": ("/show/[^/]+/order/", 840),
    "public pages": ("/(?!studio|new-show)", 1_330),
    "show, walls and days": (f"{S}measure/(settings|walls|days)/", 1_185),
    "works and finishes": (f"{S}measure/(works|finishes)/", 1_435),
    "prices and costs": (f"{S}measure/", 1_330),
    "prints": (f"{S}fund/(print|postage|taxes|fee|levels|minimum)/", 1_215),
    "pledges and the book": (f"{S}fund/(pledges|cash-book|back)/", 1_600),
    "the bank": (f"{S}fund/bank/", 1_155),
    "printing": (f"{S}print/", 1_310),
    "posting": (f"{S}(send|hang|settle)/", 2_265),
    "news, sponsors and all else": ("/", 2_240),
}
LEAST_OF_ADDRESSES, LEAST_OF_PRINTED = 3_890, 650
# What takes a thing away, or ends the campaign or the visit: little could be looked at afterwards.
ENDS = re.compile("take-|call-off|close/|cancel|sign-out|end/|forget|second-factor")
EACH = 2  # texts typed into one field alone
MADE_UP = 80  # times that a part's forms are sent with what Hypothesis makes up
PER_CELL = 4  # texts in the place of one cell of a show folder
assert sum(least for _, least in PARTS.values()) + LEAST_OF_ADDRESSES + LEAST_OF_PRINTED >= 20_000


def part_of(path: str) -> str:
    """The part of the test that the page at `path` belongs to."""
    return next(name for name, (pattern, _) in PARTS.items() if re.match(pattern, path))


@pytest.fixture
def small(db: None) -> Any:
    """An open show of two works in one size: an edit that is taken is followed by a search for the best shows."""
    draft = make_draft(state="open", cancel_until_on=date(2026, 3, 9))  # over, so that a change is asked for
    draft.works.exclude(code__in=["w01", "w02"]).delete()
    for work in draft.works.all():
        work.sizes.exclude(code="400x300").delete()
    refresh_staircase(show=draft, now=NOW)
    return draft


@pytest.fixture
def draft(small: Any) -> Any:
    """The same with two editions."""
    add_small_edition(small)
    return small


@pytest.fixture
def things(draft: Any) -> dict[str, Any]:
    """One of each thing, an order with a present for a friend, an offer to who waited, a notice of late posting."""
    things = make_things(draft)
    lines = (LineWish("harbour", 1), LineWish("pocket", 1, "Bo Sample", dict(LONDON_ADDRESS)))
    order = Order(name="Kim", email="kim@example.org", way="transfer", lines=lines, address=dict(BERLIN_ADDRESS))
    place_pledge(show=draft, request_key=uuid.uuid4(), order=order, now=NOW)
    others = [place(draft, edition_code="pocket") for _ in range(2)]
    things["place"] = wait(draft, edition_code="pocket").code
    cancel_pledge(pledge=others[0], by_backer=False, now=NOW)
    send_late_notice(show=draft, request_key=uuid.uuid4(), new_on=date(2026, 9, 1), reason="Paper is late.", now=NOW)
    return things


@pytest.fixture
def clock() -> Iterator[Any]:
    """A minute before it begins: pages are opened before their forms are sent."""
    with time_machine.travel(NOW - timedelta(minutes=1), tick=False) as clock:
        yield clock


@pytest.fixture
def attack(ada: Any, draft: Any, things: dict[str, Any], clock: Any) -> Iterator[Attack]:
    """Signed in as the artist, with the cookies of the backer who ordered for a friend and of who waited too."""
    client = PlainClient(raise_request_exception=False)
    client.force_login(ada)
    begin_factor(user=ada)  # not confirmed, so nothing is asked for it; its page has a form now
    place = make_place_token(Waiter.objects.get(code=things["place"]))
    for name, token in (("pledge_link", make_pledge_token(friendly_order())), ("place_link", place)):
        client.cookies.update(client.get(reverse(f"campaign:{name}", args=[token])).cookies)
    attack = Attack(client)
    with attack.going_on():
        yield attack


def friendly_order() -> Pledge:
    """The order with a present."""
    return Pledge.objects.get(email="kim@example.org")


def pages(draft: Any, things: dict[str, Any]) -> Iterator[str]:
    """The address of every page that has forms, of every part."""
    pledge = friendly_order()
    order, my = reverse("campaign:order", args=[draft.code]), reverse("campaign:my_pledge", args=[pledge.code])
    yield from ("/", reverse("campaign:show", args=[draft.code]), reverse("campaign:send_link", args=[draft.code]))
    yield from (f"{order}?country=DE", f"{order}?country=GB&friend=DE", f"{order}?what=gift&from=card")
    yield from (my, f"{my}address/", f"{my}friend/1/address/", f"{my}cancel/", f"{my}late/", f"{my}withdraw/")
    place = reverse("campaign:my_place", args=[things["place"]])
    yield from (place, f"{place}order/?country=DE", f"{place}leave/")
    yield reverse("campaign:waiting_list", args=[draft.code, "pocket"])
    yield from (
        reverse("campaign:unsubscribe", args=[make_news_token(pledge)]),
        f"{reverse('campaign:sign_in')}?next=/",
    )
    for _, url, methods in addresses(draft, things):
        if "GET" in methods:
            yield url
    yield f"{reverse('campaign:works', args=[draft.code])}?as=table"
    yield from map(reverse, DOORS)


def forms_of(part: str, attack: Attack, draft: Any, things: dict[str, Any]) -> list[Form]:
    """Every form on the pages of a part, and a bare one for each of its addresses that no form there leads to."""
    found = attack.find_forms(*(url for url in pages(draft, things) if part_of(url) == part))
    if part == "ordering":
        found += check_pages(attack, draft)
    actions = {address for form in found for address in (form.action, *(action for action, _, _ in form.buttons))}
    known = {name_of(urlsplit(address).path) for address in actions}
    bare = [
        attack.bare_form(url)
        for name, url, methods in addresses(draft, things)
        if methods == ACT and name not in known and part_of(url) == part
    ]
    return found + bare


def check_pages(attack: Attack, draft: Any) -> list[Form]:
    """The forms of the pages that show the sum, from which an order is placed."""
    found = []
    for query, typed in (("?country=DE", ORDER), ("?what=gift", GIFT)):
        url = reverse("campaign:order", args=[draft.code]) + query
        [form] = [form for form in attack.find_forms(url) if form.method == "post" and "request_key" in form.values]
        sent = form.values | typed
        answer = attack.send("POST", url, what="as it is", data=sent | {"step": "check"})
        checked, _ = read_page(answer.content.decode(), address=url)
        for check in checked:  # what was left empty stays so: only a program fills in the field that nobody sees
            check.values |= {name: sent[name] for name in check.values if name in sent and name != "agreed_total_minor"}
        found += checked
    assert any("agreed_total_minor" in form.values for form in found)
    return found


def made_up(attack: Attack, forms: list[Form], *, times: int) -> None:
    """Texts that Hypothesis makes up, in some fields of some form."""

    @settings(max_examples=times, database=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(st.data())
    def type_it(data: st.DataObject) -> None:
        form = data.draw(st.sampled_from(forms))
        fields = data.draw(st.lists(st.sampled_from(form.fields), min_size=1, max_size=3, unique=True))
        changes = {field: data.draw(nasty.MADE_UP) for field in fields}
        turn = data.draw(st.integers(0, 5))
        attack.submit(form, changes, turn=turn, what=f"made up: {changes}"[:200])

    type_it()


def conclude(part: str, attack: Attack, *, least: int, started: float, **more: Any) -> None:
    """Keep the figures, and fail with what was found."""
    record(
        f"5 hostile input, {part}", requests=attack.sent.total(), pages=len(attack.sent), **more,
        taken=attack.taken.total(), errors_and_echoes=len(attack.trouble), seconds=round(time.perf_counter() - started),
        processor_seconds=round(time.process_time()), slowest=f"{attack.slowest[0]:.1f} s, {attack.slowest[1][:120]}",
    )  # fmt: skip
    assert not attack.trouble, "\n".join(f"{fault}\n    {what}" for fault, what in attack.trouble.items())
    assert attack.sent.total() >= least


@pytest.mark.parametrize("part", PARTS)
def test_every_field_takes_anything(part: str, attack: Attack, clock: Any, draft: Any, things: dict[str, Any]) -> None:
    started = time.perf_counter()
    forms = forms_of(part, attack, draft, things)
    clock.shift(timedelta(minutes=1))  # who sends a form within two seconds is a program
    for form in forms:
        attack.type_into(form, each=EACH)
        attack.send_files(form)
    made_up(attack, [form for form in forms if form.fields], times=MADE_UP)
    assert attack.taken, "no form took anything: what was typed beside the text is refused already"
    fields = sum(len(form.fields) + len(form.files) for form in forms)
    conclude(part, attack, least=PARTS[part][1], started=started, forms=len(forms), fields=fields)


def test_every_address_takes_anything(attack: Attack, draft: Any, things: dict[str, Any]) -> None:
    started, asked, queries = time.perf_counter(), set[str](), set[tuple[str, str]]()
    for url in pages(draft, things):
        answer = attack.send("GET", url, what="as it is")
        if answer.headers.get("Content-Type", "").startswith("text/html"):
            queries |= read_page(answer.content.decode(), address=url)[1]
    for turn, (name, url, methods) in enumerate([*addresses(draft, things), *public_addresses(draft)]):
        asked.add(name)
        attack.bend_address(url, method=methods[-1])
        if "POST" in methods:
            attack.send_bodies(url, turn=turn)
    of_names = {(name_of(path), name): path for path, name in queries if name_of(path) != "nowhere"}
    for (_, name), path in of_names.items():
        attack.bend_query(path, name)
    for url in (reverse("campaign:show", args=[draft.code]), reverse("campaign:bank", args=[draft.code]), "/nowhere/"):
        attack.bend_headers(url)
    assert url_names() - asked == set(DOORS), "an address that is not attacked: give it a line in `public_addresses`"
    conclude("addresses", attack, least=LEAST_OF_ADDRESSES, started=started)


def public_addresses(draft: Any) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Name, address and methods of every page that needs no sign-in."""
    pledge, update = friendly_order(), Update.objects.get()
    show, code, news = [draft.code], [pledge.code], [make_news_token(pledge)]
    waiter = Waiter.objects.get(edition__code="pocket")
    place = [waiter.code]
    for name, args in (
        ("front", []), ("healthz", []), ("readyz", []), ("metrics", []), ("show", show), ("my_pledge", code),
        ("my_bill", code), ("my_card_back", code), ("update", [draft.code, update.code]), ("calendar", ["x" * 20]),
        ("pledge_link", [make_pledge_token(pledge)]), ("art", ["0" * 64]), ("thumbnail", ["0" * 64]),
        ("news_archive", show), ("news_feed", show), ("my_place", place), ("place_link", [make_place_token(waiter)]),
    ):  # fmt: skip
        yield f"campaign:{name}", reverse(f"campaign:{name}", args=args), GET
    copy = Copy.objects.filter(pledge=pledge).first()
    certificate = Certificate.objects.create(copy=copy, pledge=pledge, issued_at=NOW)
    yield "fulfilment:copy", reverse("fulfilment:copy", args=[certificate.code]), GET
    for name, args in (
        ("order", show), ("send_link", show), ("my_address", code), ("my_friend_address", [pledge.code, 1]),
        ("my_cancel", code), ("my_address_right", code), ("unsubscribe", news), ("sign_in", []), ("my_request", code),
        ("my_late", code), ("my_withdrawal", code), ("waiting_list", [draft.code, "pocket"]), ("order_kept", place),
        ("leave_place", place), ("unsubscribe_waiter", [make_list_news_token(waiter)]),
    ):  # fmt: skip
        yield f"campaign:{name}", reverse(f"campaign:{name}", args=args), FORM
    for name, args in (("my_card", code), ("sign_out", []), ("card_messages", []), ("ask_again", place)):
        yield f"campaign:{name}", reverse(f"campaign:{name}", args=args), ACT


def test_the_sign_in_takes_anything_and_leads_nowhere_else(ada: Any, draft: Any, clock: Any) -> None:
    started, attack = time.perf_counter(), Attack(PlainClient(raise_request_exception=False))
    url = reverse("campaign:sign_in")
    with attack.going_on():
        [form] = attack.find_forms(f"{url}?next=/studio/")
        attack.type_into(form, each=EACH)
        form.values |= {"username": "ada", "password": "a long enough password"}
        for text in nasty.TEXTS:
            attack.submit(form, {"next": text}, turn=0, what=f"next {text[:40]!r}")
        attack.bend_query(url, "next")
    conclude("sign-in", attack, least=250, started=started)


def test_rooms_of_a_printed_show_take_anything(ada: Any, small: Any) -> None:
    started = time.perf_counter()
    show_with_parcels(small, orders=2)
    client = PlainClient(raise_request_exception=False)
    client.force_login(ada)
    attack = Attack(client)
    with time_machine.travel(LATER + timedelta(days=1), tick=False), attack.going_on():
        rooms = [f"/studio/{small.code}/{room}/" for room in ("print", "send", "hang", "settle", "fund")]
        forms = attack.find_forms(*rooms, f"/studio/{small.code}/print/end/", f"/studio/{small.code}/fund/pledges/")
        assert {"fulfilment:send", "fulfilment:mark_copies"} & {name_of(urlsplit(form.action).path) for form in forms}
        for form in forms:
            attack.type_into(form, each=EACH)
        left = LEAST_OF_PRINTED - attack.sent.total()
        made_up(attack, [form for form in forms if form.fields], times=max(left, MADE_UP))
    conclude("a printed show", attack, least=LEAST_OF_PRINTED, started=started, forms=len(forms))


def test_a_show_made_of_markup_stays_text(attack: Attack, draft: Any, things: dict[str, Any]) -> None:
    """Not undone this time: what forms take is kept, and then every page and every mail is looked at."""
    started, taken = time.perf_counter(), 0
    for form in attack.find_forms(*pages(draft, things)):
        for at, field in enumerate(form.fields if form.method == "post" and not ENDS.search(form.action) else ()):
            for text in (f"\"'>{nasty.MARK}", f"<img src=x onerror=zq7()>{at}"):
                let_in()
                answer = attack.client.post(form.action, form.values | {field: text})
                taken += answer.status_code == 302
    for url in pages(draft, things):
        attack.send("GET", url, what="after everything was filled with markup")
    for mail in OutboxMessage.objects.all():
        assert not list(raw_in(mail.html.encode())), mail.name
    assert taken > 50, "hardly any form took it, so this shows nothing"
    conclude("stored markup", attack, least=100, started=started, stored=taken)


def test_a_show_folder_takes_anything(draft: Any, tmp_path: Path) -> None:
    """One cell of a table at a time, and the settings line by line; what is not refused is imported, and undone."""
    started, tried, stored = time.perf_counter(), 0, 0
    texts = itertools.cycle(nasty.TEXTS)
    for tables in spoilt_folders(texts):
        let_in()
        folder = write_folder(tmp_path, **tables)
        read = read_show_folder(folder)
        tried += 1
        assert read.ok or all(verdict.sentence for verdict in read.refusals), tables
        if read.ok:
            with undone(), connection.execute_wrapper(as_strict_as_postgresql), contextlib.suppress(Refusal):
                import_show(folder=read, now=NOW)
                stored += 1
    record(
        "5 hostile input, show folders", folders=tried, imported=stored, seconds=round(time.perf_counter() - started),
        processor_seconds=round(time.process_time()),
    )  # fmt: skip
    assert tried >= 300
    assert stored


def spoilt_folders(texts: Iterator[str]) -> Iterator[dict[str, str]]:
    """Tables and settings of a folder with one text in the place of what stood there; each place gets several."""
    for name, table in TABLES.items():
        heading, first, *others = table.splitlines()
        mark = ";" if ";" in heading else ","
        cells = first.split(mark)
        for at in [*range(len(cells))] * PER_CELL:
            quoted = '"' + next(texts).replace('"', '""') + '"'
            row = mark.join([*cells[:at], quoted, *cells[at + 1 :]])
            yield {name: "\n".join([heading, row, *others]) + "\n"}
    lines = SETTINGS.splitlines()
    for at, line in enumerate(lines):
        key, equals, _ = line.partition(" = ")
        for text in itertools.islice(texts, PER_CELL if equals else 0):
            spoilt = f"{key} = {json.dumps(text)}"
            yield {"settings": "\n".join([*lines[:at], spoilt, *lines[at + 1 :]]) + "\n"}
