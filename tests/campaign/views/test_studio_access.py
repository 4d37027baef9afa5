"""Every page of the studio: who may open it and by which method."""

import pytest
from django.urls import reverse

from tests.builders import make_draft
from tests.studio_pages import DOORS, PAGES, addresses, make_things, url_names

# What needs no sign-in. Everything else is the studio's and has to stand in the table of `tests/studio_pages.py`.
PUBLIC = {
    "campaign:my_request",
    "campaign:card_messages", "campaign:my_card", "campaign:my_card_back", "campaign:front", "campaign:show",
    "campaign:order", "campaign:update", "campaign:send_link", "campaign:pledge_link", "campaign:my_pledge",
    "campaign:my_bill", "campaign:my_address", "campaign:my_friend_address", "campaign:my_cancel",
    "campaign:my_late", "campaign:my_withdrawal", "campaign:my_address_right",
    "campaign:waiting_list", "campaign:place_link", "campaign:my_place", "campaign:order_kept", "campaign:ask_again",
    "campaign:leave_place",
    "campaign:unsubscribe", "campaign:unsubscribe_waiter", "campaign:news_archive", "campaign:news_feed",
    "campaign:art", "campaign:thumbnail", "campaign:healthz", "campaign:readyz", "campaign:metrics",
    "campaign:sign_in", "campaign:sign_out", "campaign:calendar", "fulfilment:copy",
}  # fmt: skip

LEAD_ON = {"campaign:studio", "campaign:prints"}  # to the only show, to the only print


@pytest.fixture
def draft(db, clock):
    """A show with one of everything and no staircase: nothing here needs the engine."""
    return make_draft(state="open")


@pytest.fixture
def things(draft):
    return make_things(draft)


def everywhere(show, things):
    """Name, address and methods of every page, the doors included."""
    yield from addresses(show, things)
    for name, methods in DOORS.items():
        yield name, reverse(name), methods


def answers(client, show, things):
    """Status and target of every page, asked for by each of its methods."""
    found = {}
    for name, url, methods in everywhere(show, things):
        for method in methods:
            answer = client.generic(method, url)
            found[name, method] = (answer.status_code, answer.headers.get("Location", "").partition("?")[0])
    return found


def test_every_url_of_the_site_is_public_or_in_the_table():
    assert url_names() == PUBLIC | set(PAGES) | set(DOORS)
    assert not PUBLIC & (set(PAGES) | set(DOORS))


def test_visitors_are_sent_to_the_sign_in(draft, things, client):
    assert set(answers(client, draft, things).values()) == {(302, reverse("campaign:sign_in"))}


def test_somebody_else_finds_nothing(draft, things, cleo_client):
    assert set(answers(cleo_client, draft, things).values()) == {(404, "")}


def test_the_artist_sees_every_page_and_none_is_kept_by_the_browser(draft, things, ada_client):
    for name, url, methods in everywhere(draft, things):
        if "GET" in methods:
            answer = ada_client.get(url)
            assert (name, answer.status_code) == (name, 302 if name in LEAD_ON else 200)
            assert "no-store" in answer["Cache-Control"], name


def test_other_methods_are_refused(draft, things, ada_client):
    for name, url, methods in everywhere(draft, things):
        for method in {"GET", "POST", "PUT", "DELETE"} - set(methods):
            assert (name, method, ada_client.generic(method, url).status_code) == (name, method, 405)


def test_what_belongs_to_another_show_is_not_found(draft, things, ada_client):
    other = make_draft(code="other", title="Another show")
    rows = (other.walls, other.works, other.finishes, other.price_items, other.editions)
    for row in (one for some in rows for one in some.all()):
        type(row).objects.filter(pk=row.pk).update(code=f"other-{row.code}")
    for name, url, methods in addresses(other, things):
        if PAGES[name][1]:
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


def test_a_paper_is_shown_in_the_browser_and_kept_by_nobody(draft, things, ada_client):
    answer = ada_client.get(reverse("campaign:paper", args=[draft.code, things["paper"]]))
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == 'inline; filename="slips.pdf"'
    assert "no-store" in answer["Cache-Control"]
    assert answer.content.startswith(b"%PDF")
