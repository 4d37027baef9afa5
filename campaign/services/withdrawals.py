"""Withdrawals from the contract, declared by the backer; what follows is the artist's answer (see change_requests)."""

from datetime import datetime

from django.db import transaction

from campaign import mail
from campaign.errors import NotReady
from campaign.models import ChangeRequest, Pledge
from campaign.queries.withdrawal import WORDS, read_withdrawal
from campaign.services.owing import lock_pledge


@transaction.atomic(durable=True)
def declare_withdrawal(*, pledge: Pledge, now: datetime) -> ChangeRequest:
    """
    Take down a backer's withdrawal with its moment, and confirm it at once.

    Writes: ChangeRequest.
    Mails: withdrawal_received, to the backer; change_asked, to the studio.
    Raises: NotReady where no withdrawal is offered here.
    Repeat: an order is withdrawn from once; the statement that is there is given back, no second mail.
    """
    current = lock_pledge(pledge.pk)  # the same submit twice at once waits here
    withdrawal = read_withdrawal(current)
    if withdrawal.declared:
        return withdrawal.declared
    if not withdrawal.is_offered:
        raise NotReady("There is nothing to withdraw from here. Write to the studio, please.")
    declared = ChangeRequest.objects.create(pledge=current, text=WORDS, asked_at=now)
    mail.withdrawal_received(request=declared, now=now)
    mail.change_asked(request=declared, now=now)
    return declared
