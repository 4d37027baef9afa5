"""The private link once more: the page only writes down who asked, the worker finds out what there is to send."""

from datetime import datetime

from django.db import transaction

from campaign import mail
from campaign.models import LinkRequest, Pledge, Show
from campaign.queries.waiting import list_live_places
from campaign.services.rows import each

MOST_LINKS = 10  # orders of one address that one request answers


@transaction.atomic(durable=True)
def withdraw_link(*, pledge: Pledge, version: int, sends_new: bool, now: datetime) -> bool:
    """
    Make every private link of an order useless that was sent so far, and end the visits that they opened.

    `version` is that of the link as the artist saw it, so that the same act twice spares the link it has sent.
    Writes: Pledge.link_version.
    Mails: link_again with `sends_new`, where the person is still known.
    Repeat: a link that was withdrawn already stays so; nothing is sent again. True if this call withdrew it.
    """
    moved = Pledge.objects.filter(pk=pledge.pk, link_version=version).update(link_version=version + 1)
    current = Pledge.objects.select_related("show").get(pk=pledge.pk)
    if moved and sends_new and current.email:
        mail.link_again(pledge=current, now=now, replaces=True)
    return bool(moved)


@transaction.atomic(durable=True)
def ask_for_link(*, show: Show, email: str, now: datetime) -> None:
    """
    Take down that somebody wants the private links of `email`; the same work whether there are any.

    Writes: LinkRequest.
    Repeat: asked again.
    """
    LinkRequest.objects.create(show=show, email=email.strip(), asked_at=now)


def answer_link_requests(*, now: datetime, limit: int = 50) -> int:
    """
    Answer what was asked; one transaction each. An address without orders or places gets no mail.

    Writes: LinkRequest is deleted.
    Mails: link_again for each order of the address, waiting_noted for each place it has in a waiting list; each at
        most once an hour.
    Repeat: nothing is left to do. Returns how many mails were written.
    """
    return each(lambda pk: _answer(pk, now=now), list(LinkRequest.objects.values_list("pk", flat=True)[:limit]))


@transaction.atomic(durable=True)
def _answer(request_pk: int, *, now: datetime) -> int:
    request = LinkRequest.objects.select_related("show").filter(pk=request_pk).first()
    if request is None or request.delete()[0] == 0:  # another worker was quicker
        return 0
    pledges = Pledge.objects.filter(show=request.show, email__iexact=request.email).select_related("show")
    for pledge in pledges.order_by("-placed_at")[:MOST_LINKS]:
        mail.link_again(pledge=pledge, now=now)
    places = list_live_places(request.show, email=request.email)[:MOST_LINKS]
    for waiter in places:
        mail.waiting_noted(waiter=waiter, now=now)
    return min(MOST_LINKS, pledges.count()) + len(places)
