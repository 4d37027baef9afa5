"""Every page of the studio: who may open it and by which method."""

import uuid

import pytest
from django.urls import reverse

from campaign.models import Job, OutboxMessage, Paper, Update
from campaign.services.payments import record_other_money
from campaign.services.pledges import Order, place_pledge
from tests.builders import BERLIN_ADDRESS, NOW, make_draft

GET, FORM, ACT = ("GET",), ("GET", "POST"), ("POST",)
VIEWS = {
    "standing": (GET, ()),
    "staircase": (GET, ()),
    "missing": (GET, ()),
    "missing_work": (GET, ("work",)),
    "what_if": (GET, ()),
    "compare": (GET, ()),
    "measure": (GET, ()),
    "take_back": (ACT, ()),
    "settings": (FORM, ()),
    "walls": (GET, ()),
    "new_wall": (FORM, ()),
    "draw_wall": (ACT, ()),
    "wall": (FORM, ("wall",)),
    "delete_wall": (FORM, ("wall",)),
    "works": (FORM, ()),
    "paste_works": (FORM, ()),
    "worths": (FORM, ("work",)),
    "tie": (ACT, ("work",)),
    "untie": (ACT, ("work",)),
    "new_work": (FORM, ()),
    "work": (FORM, ("work",)),
    "delete_work": (FORM, ("work",)),
    "finishes": (GET, ()),
    "new_finish": (FORM, ()),
    "finish": (FORM, ("finish",)),
    "delete_finish": (FORM, ("finish",)),
    "paste_prices": (FORM, ()),
    "prices": (FORM, ()),
    "shelf": (FORM, ()),
    "new_price": (FORM, ()),
    "price": (FORM, ("price",)),
    "delete_price": (FORM, ("price",)),
    "show_costs": (FORM, ()),
    "gifts": (FORM, ()),
    "wall_prices": (GET, ()),
    "wanted_sums": (FORM, ()),
    "fund": (GET, ()),
    "new_edition": (FORM, ()),
    "print_price": (GET, ("edition",)),
    "edition": (FORM, ("edition",)),
    "delete_edition": (FORM, ("edition",)),
    "postage": (FORM, ()),
    "fee": (FORM, ()),
    "levels": (FORM, ()),
    "mend_level": (ACT, ()),
    "publish": (ACT, ()),
    "close": (FORM, ()),
    "pledges": (GET, ()),
    "pledge": (GET, ("pledge",)),
    "payment": (FORM, ("pledge",)),
    "refund": (FORM, ("pledge",)),
    "cancel": (FORM, ("pledge",)),
    "cash_book": (GET, ()),
    "other_money": (FORM, ()),
    "correct": (FORM, ("entry",)),
    "updates": (GET, ()),
    "new_update": (FORM, ()),
    "update_sheet": (FORM, ("update",)),
    "trial": (ACT, ("update",)),
    "send_update": (FORM, ("update",)),
    "mails": (GET, ()),
    "settle_message": (ACT, ("message",)),
    "job": (GET, ("job",)),
    "call_off": (ACT, ("job",)),
    "paper": (GET, ("paper",)),
}


@pytest.fixture
def draft(db, clock):
    """A show with one of everything and no staircase: nothing here needs the engine."""
    return make_draft(state="open")


@pytest.fixture
def codes(draft):
    """The code in the address of one thing of each kind."""
    order = Order(
        name="Iris", email="iris@example.org", way="transfer", edition_code="harbour", copies=1, address=BERLIN_ADDRESS
    )
    job = Job.objects.create(show=draft, kind="papers", key="k", title="Papers", starts_at=NOW, created_at=NOW)
    return {
        "wall": "north",
        "work": "w01",
        "finish": "frame",
        "price": "paper",
        "edition": "harbour",
        "pledge": place_pledge(show=draft, request_key=uuid.uuid4(), order=order, now=NOW).code,
        "entry": record_other_money(
            show=draft, key="x", kind="own", amount_minor=100, happened_on=NOW.date(), text="Own", now=NOW
        ).key,
        "update": Update.objects.create(show=draft, title="T", body="B", written_at=NOW).code,
        "message": OutboxMessage.objects.create(
            key="m", name="n", kind="campaign", show=draft, recipient="a@example.org", subject="s", text="t", html="h",
            due_at=NOW, created_at=NOW,
        ).uid,
        "job": job.code,
        "paper": Paper.objects.create(
            job=job, name="slips.pdf", title="Slips", pages=1, pdf=b"%PDF-1.7", made_at=NOW
        ).code,
    }  # fmt: skip


def addresses(show, codes):
    """Every page's name, address in `show` and methods."""
    for name, (methods, parts) in VIEWS.items():
        yield name, reverse(f"campaign:{name}", args=[show.code, *(codes[part] for part in parts)]), methods


def answers(client, show, codes):
    """Status and target of every page, asked for by its first method."""
    found = {}
    for name, url, methods in addresses(show, codes):
        answer = client.generic(methods[0], url)
        found[name] = (answer.status_code, answer.headers.get("Location", "").partition("?")[0])
    return found


def test_visitors_are_sent_to_the_sign_in(draft, codes, client):
    assert set(answers(client, draft, codes).values()) == {(302, reverse("campaign:sign_in"))}


def test_somebody_else_finds_nothing(draft, codes, cleo_client):
    assert set(answers(cleo_client, draft, codes).values()) == {(404, "")}


def test_the_artist_sees_every_page_and_none_is_kept_by_the_browser(draft, codes, ada_client):
    for name, url, methods in addresses(draft, codes):
        if "GET" in methods:
            answer = ada_client.get(url)
            assert (name, answer.status_code) == (name, 200)
            assert "no-store" in answer["Cache-Control"], name


def test_other_methods_are_refused(draft, codes, ada_client):
    for name, url, methods in addresses(draft, codes):
        for method in {"GET", "POST", "PUT"} - set(methods):
            assert (name, method, ada_client.generic(method, url).status_code) == (name, method, 405)


def test_what_belongs_to_another_show_is_not_found(draft, codes, ada_client):
    other = make_draft(code="other", title="Another show")
    rows = (other.walls, other.works, other.finishes, other.price_items, other.editions)
    for row in (one for some in rows for one in some.all()):
        type(row).objects.filter(pk=row.pk).update(code=f"other-{row.code}")
    for name, url, methods in addresses(other, codes):
        if VIEWS[name][1]:
            assert (name, ada_client.generic(methods[0], url).status_code) == (name, 404)


def test_the_door_leads_to_the_only_show_and_lists_several(draft, client, ada, cleo):
    url = reverse("campaign:studio")
    assert client.get(url).status_code == 302
    client.force_login(cleo)
    assert client.get(url).status_code == 404
    client.force_login(ada)
    assert client.get(url)["Location"] == reverse("campaign:standing", args=[draft.code])
    make_draft(code="second", title="A second show")
    page = client.get(url)
    assert page.status_code == 200
    assert b"A second show" in page.content
    assert client.post(url).status_code == 405


def test_a_paper_is_shown_in_the_browser_and_kept_by_nobody(draft, codes, ada_client):
    answer = ada_client.get(reverse("campaign:paper", args=[draft.code, codes["paper"]]))
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == 'inline; filename="slips.pdf"'
    assert "no-store" in answer["Cache-Control"]
    assert answer.content.startswith(b"%PDF")
