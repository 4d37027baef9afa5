"""What a backer asks for after the cut-off, and the artist's word on it. Not for the changes themselves."""

import uuid
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from campaign import mail
from campaign.errors import NotInThisState, NotReady, Refusal
from campaign.models import ChangeRequest, Pledge
from campaign.queries.my_order import may_ask
from campaign.services.owing import lock_pledge
from campaign.services.pledges import end_order

State = ChangeRequest.State
MOST_OPEN = 3  # of one order: who asks more often waits for an answer first


@dataclass
class TooManyAsked(Refusal):
    """So many requests of one order wait already."""

    waiting: int

    @property
    def sentence(self) -> str:
        return (
            f"{self.waiting} requests for this order wait for an answer. Nothing was sent; ask again once there is one."
        )


@transaction.atomic(durable=True)
def ask_for_change(*, pledge: Pledge, request_key: uuid.UUID, text: str, now: datetime) -> ChangeRequest:
    """
    Take down what a backer asks the artist to change.

    Writes: ChangeRequest.
    Mails: change_asked, to the studio.
    Raises: NotReady while the backer can do it alone or the order has ended; TooManyAsked.
    Repeat: the same `request_key` gives the request that is there already; no second mail.
    """
    current = lock_pledge(pledge.pk)  # the same submit twice at once waits here
    known = ChangeRequest.objects.filter(pledge=current, request_key=request_key).first()
    if known:
        return known
    if not may_ask(current, now=now):
        raise NotReady("Nothing was sent: there is nothing to ask for here that this page does not do by itself.")
    waiting = ChangeRequest.objects.filter(pledge=current, state=State.ASKED).count()
    if waiting >= MOST_OPEN:
        raise TooManyAsked(waiting=waiting)
    asked = ChangeRequest.objects.create(pledge=current, request_key=request_key, text=text, asked_at=now)
    mail.change_asked(request=asked, now=now)
    return asked


@transaction.atomic(durable=True)
def answer_change(*, request: ChangeRequest, state: str, answer: str, cancels: bool, now: datetime) -> ChangeRequest:
    """
    Answer a backer: done or declined, with words; done may cancel the order in the same breath.

    Writes: ChangeRequest; with `cancels` as `pledges.cancel_pledge`: Pledge, Copy, Refund.
    Mails: change_answered, to the backer; pledge_cancelled with `cancels`.
    Raises: NotInThisState for one that was answered otherwise, or an order that cannot be cancelled any more.
    Repeat: the same answer again changes nothing; no second mail.
    """
    pledge = lock_pledge(request.pledge_id)
    if cancels and state == State.DONE:
        pledge = end_order(pledge, now=now)
    return write_answer(request=request, pledge=pledge, state=state, answer=answer, now=now)


def write_answer(*, request: ChangeRequest, pledge: Pledge, state: str, answer: str, now: datetime) -> ChangeRequest:
    """
    The answer and its mail, within the transaction of a caller that has locked the pledge and did what was asked.

    Raises and Repeat: as `answer_change`.
    """
    moved = ChangeRequest.objects.filter(pk=request.pk, pledge=pledge, state=State.ASKED).update(
        state=state, answer=answer, answered_at=now
    )
    current = ChangeRequest.objects.select_related("pledge__show").get(pk=request.pk)
    if moved:
        mail.change_answered(request=current, now=now)
    elif (current.state, current.answer) != (state, answer):
        raise NotInThisState(what="This request", state=f"answered already: {current.get_state_display()}")
    return current
