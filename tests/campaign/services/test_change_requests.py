"""Asking for a change after the cut-off, and the artist's answer: one act each, whatever is sent twice."""

import uuid
from datetime import timedelta

import pytest

from campaign.errors import NotInThisState, NotReady
from campaign.models import ChangeRequest, OutboxMessage, Pledge, Refund, Show
from campaign.services import change_requests, people
from campaign.services.pledges import cancel_pledge
from tests.builders import NOW, pay, place

pytestmark = pytest.mark.django_db
LATE = NOW + timedelta(days=60)  # after the eighth of April, until which backers cancel by themselves


def ask(pledge: Pledge, *, key: uuid.UUID | None = None, text: str = "Please send it to Hamburg.") -> ChangeRequest:
    return change_requests.ask_for_change(pledge=pledge, request_key=key or uuid.uuid4(), text=text, now=LATE)


def answer(request: ChangeRequest, *, state: str = "done", words: str = "", cancels: bool = False) -> ChangeRequest:
    return change_requests.answer_change(request=request, state=state, answer=words, cancels=cancels, now=LATE)


def mails(name: str) -> list[OutboxMessage]:
    return list(OutboxMessage.objects.filter(name=name))


def test_a_request_goes_to_the_studio_with_its_words_and_can_be_answered_by_mail(show: Show) -> None:
    pledge = place(show)
    asked = ask(pledge)
    [message] = mails("change_asked")
    assert message.recipient == "studio@example.org" and message.headers["Reply-To"] == pledge.email
    assert "Please send it to Hamburg." in message.text and str(asked.request_key) in message.text


def test_the_same_submit_twice_is_one_request(show: Show) -> None:
    pledge, key = place(show), uuid.uuid4()
    assert ask(pledge, key=key) == ask(pledge, key=key)
    assert ChangeRequest.objects.count() == 1 and len(mails("change_asked")) == 1


def test_a_fourth_waits_until_one_is_answered(show: Show) -> None:
    pledge = place(show)
    first, *_ = [ask(pledge) for _ in range(3)]
    with pytest.raises(change_requests.TooManyAsked) as refusal:
        ask(pledge)
    assert refusal.value.waiting == 3
    answer(first)
    assert ask(pledge).state == "asked"


def test_nothing_is_asked_while_the_backer_can_do_it_alone(show: Show) -> None:
    pledge = place(show)
    with pytest.raises(NotReady):
        change_requests.ask_for_change(pledge=pledge, request_key=uuid.uuid4(), text="x", now=NOW)
    # The address is fixed from here on, though cancelling is still open.
    Show.objects.update(state=Show.State.PRINTED, closed_at=NOW)
    assert change_requests.ask_for_change(pledge=pledge, request_key=uuid.uuid4(), text="x", now=NOW).pk


def test_nothing_is_asked_about_an_order_that_has_ended(show: Show) -> None:
    pledge = place(show)
    cancel_pledge(pledge=pledge, by_backer=False, now=LATE)
    with pytest.raises(NotReady):
        ask(pledge)


def test_an_answer_goes_to_the_backer_once(show: Show) -> None:
    pledge = place(show)
    asked = ask(pledge)
    for _ in range(2):
        answer(asked, state="declined", words="It left this morning.")
    [message] = mails("change_answered")
    assert message.recipient == pledge.email
    for words in ("cannot do that", "It left this morning.", "Please send it to Hamburg."):
        assert words in message.text
        assert words in message.html


def test_another_answer_to_the_same_request_is_refused(show: Show) -> None:
    asked = ask(place(show))
    answer(asked)
    with pytest.raises(NotInThisState):
        answer(asked, state="declined", words="No.")
    asked.refresh_from_db()
    assert asked.state == "done"


def test_done_can_cancel_the_order_and_owe_the_money_in_the_same_act(show: Show) -> None:
    pledge = place(show)
    pay(pledge)
    answer(ask(pledge), cancels=True)
    pledge.refresh_from_db()
    assert pledge.state == "cancelled"
    assert Refund.objects.get(pledge=pledge).amount_minor == pledge.total_minor
    assert len(mails("pledge_cancelled")) == 1
    assert "a mail of its own says what becomes of the money" in mails("change_answered")[0].text


def test_an_order_that_cannot_be_cancelled_leaves_the_request_open(show: Show) -> None:
    pledge = place(show)
    asked = ask(pledge)
    Pledge.objects.update(state=Pledge.State.LAPSED, ended_at=LATE)
    with pytest.raises(NotInThisState):
        answer(asked, cancels=True)
    asked.refresh_from_db()
    assert asked.state == "asked" and not mails("change_answered")


def test_an_erased_person_has_no_words_left_and_nobody_waits_for_an_answer(show: Show) -> None:
    pledge = place(show)
    ask(pledge)
    known = people.read_person(pledge.email)["orders"][0]["requests"]
    assert known[0]["text"] == "Please send it to Hamburg." and known[0]["state"] == "asked"
    cancel_pledge(pledge=pledge, by_backer=False, now=LATE)
    people.erase_person(email=pledge.email, reason="asked", now=LATE)
    request = ChangeRequest.objects.get()
    assert (request.text, request.answer, request.state) == ("(erased)", "", "declined")
    assert not OutboxMessage.objects.filter(text__contains="Hamburg").exists()
