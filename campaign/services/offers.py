"""
Copies that come back go to those who wait, in the order of asking; steps of the use cases beside it.

Each step runs inside the caller's transaction, which has locked the edition: the line and the free copies are one
thing, and nobody may look at one while somebody else changes the other.
"""

from datetime import datetime, timedelta

from django.db import connection
from django.db.models import Sum

from campaign import mail
from campaign.errors import OfferEnded
from campaign.models import Copy, Edition, Pledge, PledgeLine, Waiter, free_to_take
from campaign.queries.order_terms import is_open

State = Waiter.State
NOT_ALONE = "copies are offered inside the transaction that has locked their edition"


def offer_copies(edition: Edition, *, now: datetime) -> int:
    """
    Offer what is free to those who wait for it, the first in line first; nothing while the edition is not sold.

    Nobody is passed over: who asked for more than is free is offered what there is. Who has ordered as many as one
    person may since asking waits no longer.
    Writes: Copy, Waiter. Mails: copies_offered, waiting_ended.
    Repeat: nothing is free any more, or nobody waits. Returns how many copies were offered.
    """
    assert connection.in_atomic_block, NOT_ALONE
    line = Waiter.objects.filter(edition=edition, state=State.WAITING).order_by("pk")
    if not line.exists() or not is_on_offer(edition, now=now):
        return 0
    offered, free = 0, Copy.objects.filter(free_to_take(), edition=edition).count()
    while offered < free and (waiter := line.first()):
        offered += _offer(waiter, edition=edition, free=free - offered, now=now)
    return offered


def is_on_offer(edition: Edition, *, now: datetime) -> bool:
    """The campaign takes orders, and this edition is among what it takes them for."""
    return is_open(edition.show, now=now) and edition.is_sold_at(now)


def offer_end(edition: Edition, *, now: datetime) -> datetime:
    """Until when an offer made now stands: the artist's hours, but never longer than the edition is sold."""
    ends = [now + timedelta(hours=edition.show.offer_hours), edition.show.closes_at, edition.sold_until_at]
    return min(end for end in ends if end)


def _offer(waiter: Waiter, *, edition: Edition, free: int, now: datetime) -> int:
    may = edition.limit_per_person - copies_ordered(edition, email=waiter.email)
    wanted = min(waiter.copies, may, free)
    if wanted <= 0:
        end_place(waiter, state=State.LEFT, now=now)
        mail.waiting_ended(waiter=waiter, why="limit", now=now)
        return 0
    Waiter.objects.filter(pk=waiter.pk).update(
        state=State.OFFERED, offered_at=now, offer_until_at=offer_end(edition, now=now)
    )
    lowest = Copy.objects.filter(free_to_take(), edition=edition).order_by("number").values("pk")[:wanted]
    Copy.objects.filter(pk__in=lowest).update(state=Copy.State.OFFERED, waiter=waiter)
    waiter.refresh_from_db()
    mail.copies_offered(waiter=waiter, copies=wanted, now=now)
    return wanted


def copies_ordered(edition: Edition, *, email: str) -> int:
    """Copies of the edition in the living orders of an address."""
    lines = PledgeLine.objects.filter(edition=edition, pledge__email__iexact=email, pledge__state__in=Pledge.LIVE)
    return int(lines.aggregate(n=Sum("copies", default=0))["n"])


def end_place(waiter: Waiter, *, state: str, now: datetime, pledge: Pledge | None = None) -> bool:
    """
    Take somebody out of the line; what was still offered to them is free again, and the caller offers it to the next.

    Writes: Waiter, Copy. Repeat: False, and a place that has ended stays as it did.
    """
    live = Waiter.objects.filter(pk=waiter.pk, state__in=Waiter.LIVE)
    if not live.update(state=state, ended_at=now, pledge=pledge):
        return False
    Copy.objects.filter(waiter=waiter).update(state=Copy.State.FREE, waiter=None)
    waiter.refresh_from_db()
    return True


def check_offer(waiter: Waiter, *, now: datetime) -> Waiter:
    """The waiter as they are, while their offer stands. Raises: OfferEnded."""
    current = Waiter.objects.select_related("edition__show").get(pk=waiter.pk)
    until = current.offer_until_at
    if current.state == State.OFFERED and until and now < until:
        return current
    past_at = until.astimezone(current.edition.show.zone) if until and until <= now else None
    raise OfferEnded(is_taken=current.state == State.TAKEN, until_at=past_at)
