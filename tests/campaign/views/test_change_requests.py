"""Late changes by asking: the form on the backer's page, the list and the answer in the room Fund."""

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse

from campaign.access import make_pledge_token
from campaign.forms.guard import stamp
from campaign.models import ChangeRequest, Pledge, Show
from tests.builders import NOW, pay, place
from tests.campaign.views.studio_forms import words_of

pytestmark = [pytest.mark.django_db]


@pytest.fixture
def pledge(show: Show, clock: Any) -> Pledge:
    """A paid order, two months on: past the day until which it could be cancelled."""
    pledge = place(show)
    pay(pledge)
    Show.objects.update(state=Show.State.PRINTED, closed_at=NOW)
    clock.move_to(NOW + timedelta(days=60))
    return pledge


@pytest.fixture
def visitor(client: Any, pledge: Pledge) -> Any:
    client.get(f"/m/{make_pledge_token(pledge)}/")
    return client


def fields(clock: Any, **changes: str) -> dict[str, str]:
    """The form as a person sends it, some seconds after it was shown."""
    opened = stamp()
    clock.shift(5)
    return {"opened": opened, "request_key": str(uuid.uuid4()), "text": "Please send it to Hamburg.", **changes}


def ask(visitor: Any, pledge: Pledge, clock: Any, **changes: str) -> Any:
    return visitor.post(f"/my/{pledge.code}/ask/", fields(clock, **changes))


def test_the_page_offers_to_ask_once_changes_have_ended(visitor: Any, pledge: Pledge, clock: Any) -> None:
    assert "Ask Ada Example" in visitor.get(f"/my/{pledge.code}/").content.decode()
    answer = ask(visitor, pledge, clock)
    assert answer.status_code == 302 and answer.url == f"/my/{pledge.code}/"
    page = visitor.get(answer.url).content.decode()
    assert "Please send it to Hamburg." in page and "waits for an answer" in page
    assert ChangeRequest.objects.get().pledge == pledge


def test_the_page_does_not_ask_for_what_it_can_do_itself(client: Any, show: Show, clock: Any) -> None:
    pledge = place(show)
    client.get(f"/m/{make_pledge_token(pledge)}/")
    assert "Ask Ada Example" not in client.get(f"/my/{pledge.code}/").content.decode()
    answer = ask(client, pledge, clock)
    assert answer.status_code == 200 and not ChangeRequest.objects.exists()


def test_the_same_submit_twice_is_one_request(visitor: Any, pledge: Pledge, clock: Any) -> None:
    sent = fields(clock)
    for _ in range(2):
        assert visitor.post(f"/my/{pledge.code}/ask/", sent).status_code == 302
    assert ChangeRequest.objects.count() == 1


def test_a_fourth_request_says_that_three_wait(visitor: Any, pledge: Pledge, clock: Any) -> None:
    for _ in range(3):
        ask(visitor, pledge, clock)
    answer = ask(visitor, pledge, clock)
    assert answer.status_code == 200 and "3 requests for this order wait for an answer" in answer.content.decode()
    assert ChangeRequest.objects.count() == 3


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"text": ""}, "Write what you would like to be changed."),
        ({"text": "x" * 1001}, "at most 1000 characters"),
        ({"website": "x"}, "One field must stay empty"),
        ({"opened": "forged"}, "faster than anybody types"),
        ({"request_key": "7"}, "valid UUID"),
        ({"text": "a\0b"}, "Null characters are not allowed"),
    ],
)
def test_what_no_person_types_is_refused_in_words(
    visitor: Any, pledge: Pledge, clock: Any, changes: dict[str, str], words: str
) -> None:
    answer = ask(visitor, pledge, clock, **changes)
    assert answer.status_code == 200 and words in answer.content.decode()
    assert not ChangeRequest.objects.exists()


def test_what_was_typed_is_shown_and_never_run(visitor: Any, pledge: Pledge, clock: Any) -> None:
    ask(visitor, pledge, clock, text="<script>alert(1)</script>")
    page = visitor.get(f"/my/{pledge.code}/").content.decode()
    assert "<script>alert" not in page and "&lt;script&gt;alert(1)" in page


def test_asking_too_often_within_an_hour_is_stopped(visitor: Any, pledge: Pledge, clock: Any) -> None:
    codes = [ask(visitor, pledge, clock).status_code for _ in range(7)]
    assert codes[:3] == [302] * 3 and codes[-1] == 429


def test_asking_needs_the_private_link(client: Any, pledge: Pledge, clock: Any) -> None:
    assert ask(client, pledge, clock).status_code == 403
    assert client.get(f"/my/{pledge.code}/ask/").status_code == 403
    assert not ChangeRequest.objects.exists()


def test_a_visit_to_the_address_of_the_form_goes_to_the_page(visitor: Any, pledge: Pledge) -> None:
    assert visitor.get(f"/my/{pledge.code}/ask/").url == f"/my/{pledge.code}/"
    assert visitor.put(f"/my/{pledge.code}/ask/").status_code == 405


@pytest.fixture
def asked(pledge: Pledge) -> ChangeRequest:
    return ChangeRequest.objects.create(pledge=pledge, text="Please cancel it.", asked_at=NOW)


def url_of(asked: ChangeRequest) -> str:
    return reverse("campaign:change_request", args=["tideline", asked.request_key])


def test_the_first_pages_of_the_studio_say_that_somebody_waits(ada_client: Any, asked: ChangeRequest) -> None:
    for name in ("standing", "fund"):
        page = ada_client.get(reverse(f"campaign:{name}", args=["tideline"])).content.decode()
        assert "1 backer waits for an answer" in page, name
    ada_client.post(url_of(asked), {"state": "done"})
    page = ada_client.get(reverse("campaign:standing", args=["tideline"])).content.decode()
    assert "waits for an answer" not in page


def test_the_list_has_what_waits_first(ada_client: Any, asked: ChangeRequest, pledge: Pledge) -> None:
    ChangeRequest.objects.create(
        pledge=pledge, text="An older one.", asked_at=NOW - timedelta(days=9), state="done", answered_at=NOW
    )
    page = ada_client.get(reverse("campaign:change_requests", args=["tideline"]))
    texts = [one.text for one in page.context["page"]]
    assert texts == ["Please cancel it.", "An older one."] and page.context["waiting"] == 1


def test_an_answer_stands_on_the_page_of_the_order(ada_client: Any, asked: ChangeRequest, pledge: Pledge) -> None:
    answer = ada_client.post(url_of(asked), {"state": "declined", "answer": "It left this morning."}, follow=True)
    assert "Answered" in words_of(answer)[0] and "It left this morning." in answer.content.decode()
    ada_client.get(f"/m/{make_pledge_token(pledge)}/")
    page = ada_client.get(f"/my/{pledge.code}/").content.decode()
    assert "not possible" in page and "It left this morning." in page


def test_answering_twice_changes_nothing_and_says_so(ada_client: Any, asked: ChangeRequest) -> None:
    ada_client.post(url_of(asked), {"state": "done", "answer": "Gladly."})
    again = ada_client.post(url_of(asked), {"state": "declined", "answer": "No."})
    assert again.status_code == 200 and "answered already" in str(again.context["form"].non_field_errors())
    asked.refresh_from_db()
    assert (asked.state, asked.answer) == ("done", "Gladly.")


def test_done_can_cancel_in_the_same_act(ada_client: Any, asked: ChangeRequest, pledge: Pledge) -> None:
    ada_client.post(url_of(asked), {"state": "done", "cancels": "on"})
    pledge.refresh_from_db()
    assert pledge.state == "cancelled" and pledge.refunds.get().amount_minor == pledge.total_minor


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({}, "state"), ({"state": "declined"}, "answer"), ({"state": "maybe"}, "state"),
        ({"state": "declined", "answer": "No.", "cancels": "on"}, "cancels"),
        ({"state": "done", "answer": "x" * 1001}, "answer"),
    ],
)  # fmt: skip
def test_half_an_answer_is_said_at_its_field(
    ada_client: Any, asked: ChangeRequest, typed: dict[str, str], field: str
) -> None:
    answer = ada_client.post(url_of(asked), typed)
    assert field in answer.context["form"].errors
    asked.refresh_from_db()
    assert asked.state == "asked"


def test_an_order_that_has_ended_is_not_offered_for_cancelling(
    ada_client: Any, asked: ChangeRequest, pledge: Pledge
) -> None:
    Pledge.objects.update(state=Pledge.State.CANCELLED, ended_at=NOW)
    assert "cancels" not in ada_client.get(url_of(asked)).context["form"].fields


def test_the_request_of_another_show_is_not_there(ada_client: Any, asked: ChangeRequest) -> None:
    other = Show.objects.get()
    other.pk, other.code = None, "other"
    other.save()
    assert ada_client.get(reverse("campaign:change_request", args=["other", asked.request_key])).status_code == 404
