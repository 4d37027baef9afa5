"""The pages of the days: who may open them and by which method."""

import uuid
from datetime import date

import pytest
from django.urls import reverse

from campaign.models import Deadline
from tests.builders import make_draft

pytestmark = pytest.mark.usefixtures("clock")
GET, FORM, ACT = ("GET",), ("GET", "POST"), ("POST",)
VIEWS = {
    "schedule": (GET, False),
    "schedule_steps": (FORM, False),
    "closed_days": (FORM, False),
    "renew_calendar_link": (FORM, False),
    "new_deadline": (FORM, False),
    "deadline": (FORM, True),
    "meet_deadline": (ACT, True),
    "delete_deadline": (FORM, True),
}


@pytest.fixture
def draft(db):
    """A show without a staircase, with one deadline."""
    draft = make_draft()
    Deadline.objects.create(show=draft, kind="grant", name="City culture fund", on=date(2026, 3, 20))
    return draft


def addresses(show, *, uid):
    """Every page's name, address and methods."""
    for name, (methods, needs_uid) in VIEWS.items():
        yield name, reverse(f"campaign:{name}", args=[show.code, *([uid] if needs_uid else [])]), methods


def test_visitors_are_sent_to_the_sign_in_and_somebody_else_finds_nothing(draft, client, cleo):
    uid = draft.deadlines.get().uid
    for _, url, methods in addresses(draft, uid=uid):
        assert client.generic(methods[0], url)["Location"].startswith(reverse("campaign:sign_in"))
    client.force_login(cleo)
    for _, url, methods in addresses(draft, uid=uid):
        assert client.generic(methods[0], url).status_code == 404


def test_the_artist_sees_every_page_even_without_a_staircase(draft, ada_client):
    for name, url, methods in addresses(draft, uid=draft.deadlines.get().uid):
        if "GET" in methods:
            answer = ada_client.get(url)
            assert (name, answer.status_code) == (name, 200)
            assert "no-store" in answer["Cache-Control"]


def test_other_methods_are_refused(draft, ada_client):
    for name, url, methods in addresses(draft, uid=draft.deadlines.get().uid):
        for method in {"GET", "POST", "PUT"} - set(methods):
            assert (name, method, ada_client.generic(method, url).status_code) == (name, method, 405)


def test_a_deadline_of_another_show_or_of_none_is_not_found(draft, ada_client):
    other = make_draft(code="other")
    for uid, show in ((draft.deadlines.get().uid, other), (uuid.uuid4(), draft)):
        for name, url, methods in addresses(show, uid=uid):
            if VIEWS[name][1]:
                assert (name, ada_client.generic(methods[0], url).status_code) == (name, 404)
    assert draft.deadlines.filter(is_done=False).exists()
