"""The waiting list of an edition: taking a place, leaving it, and what becomes of places and offers with time."""

from collections.abc import Callable
from datetime import datetime

from django.db import transaction
from django.db.models import Exists, OuterRef, Q

from campaign import mail
from campaign.errors import CopiesAreFree, OverLimit
from campaign.models import Copy, Edition, Show, Waiter, free_to_take
from campaign.services.copies import lock_editions
from campaign.services.offers import end_place, offer_copies
from campaign.services.on_sale import check_open, check_window
from campaign.services.rows import each

State = Waiter.State


@transaction.atomic(durable=True)
def join_list(*, edition: Edition, name: str, email: str, copies: int, now: datetime) -> Waiter:
    """
    Take a place at the end of the line for copies of `edition` that come back.

    The line is in the order of keys, given while the edition is locked: a clock may say the same twice.
    Writes: Waiter.
    Mails: waiting_noted.
    Raises: CampaignNotOpen, NotOnSale, OverLimit; CopiesAreFree while it can be ordered.
    Repeat: an address has one living place; it is the answer, unchanged, and its mail goes out once an hour at most.
    """
    current = lock_editions([edition.pk])[edition.pk]
    check_open(current.show, now=now)
    check_window(current, show=current.show, now=now)
    if copies > current.limit_per_person:
        raise OverLimit(limit=current.limit_per_person, already=0, title=current.title)
    offer_copies(current, now=now)  # what is left after that is free for everybody
    free = Copy.objects.filter(free_to_take(), edition=current).count()
    if free:
        raise CopiesAreFree(copies=free, title=current.title)
    email = email.strip()
    known = Waiter.objects.filter(edition=current, email__iexact=email, state__in=Waiter.LIVE).first()
    waiter = known or Waiter.objects.create(edition=current, name=name, email=email, copies=copies, asked_at=now)
    mail.waiting_noted(waiter=waiter, now=now)
    return waiter


def ask_again(*, waiter: Waiter, now: datetime) -> Waiter:
    """
    Put somebody whose place has ended back at the end of the line; as `join_list`, for the same copies.

    Repeat: the place that is living is the answer.
    """
    edition = waiter.edition
    copies = min(waiter.copies, edition.limit_per_person)
    return join_list(edition=edition, name=waiter.name, email=waiter.email, copies=copies, now=now)


@transaction.atomic(durable=True)
def leave_list(*, waiter: Waiter, now: datetime) -> bool:
    """
    Give a place back; what was offered to it goes to the next in line.

    Writes: Waiter, Copy. Mails: copies_offered to the next.
    Repeat: False, a place that has ended stays as it did.
    """
    return _end(waiter, state=State.LEFT, now=now)


@transaction.atomic(durable=True)
def take_off_list(*, waiter: Waiter, now: datetime) -> bool:
    """
    The artist takes somebody off the list, with an offer or without.

    Writes: Waiter, Copy. Mails: waiting_ended; copies_offered to the next.
    Repeat: False, a place that has ended stays as it did; no second mail.
    """
    return _end(waiter, state=State.LEFT, now=now, tell=_tell_ended("taken_off"))


Tell = Callable[[Waiter, int, datetime], object]


def _tell_ended(why: str) -> Tell:
    return lambda waiter, kept, now: mail.waiting_ended(waiter=waiter, why=why, now=now)


def _tell_lapsed(waiter: Waiter, kept: int, now: datetime) -> object:
    return mail.offer_lapsed(waiter=waiter, copies=kept, now=now)


def _end(waiter: Waiter, *, state: str, now: datetime, tell: Tell | None = None) -> bool:
    edition = lock_editions([waiter.edition_id])[waiter.edition_id]
    current = Waiter.objects.select_related("edition__show").get(pk=waiter.pk)
    kept = current.offered_copies.count()
    if not end_place(current, state=state, now=now):
        return False
    if tell:
        tell(current, kept, now)
    offer_copies(edition, now=now)
    return True


def end_places(*, now: datetime, limit: int = 100) -> int:
    """
    End places and offers of editions that take no more orders: closed, called off, or their own time is over.

    One transaction each; what the sweep calls.
    Writes: Waiter, Copy.
    Mails: waiting_ended to each.
    Repeat: nothing is left to do. Returns how many ended.
    """
    shut = ~Q(edition__show__state=Show.State.OPEN) | Q(edition__show__closes_at__lte=now)
    over = Waiter.objects.filter(shut | Q(edition__sold_until_at__lte=now), state__in=Waiter.LIVE)
    due = over.select_related("edition__show").order_by("pk")[:limit]
    return each(lambda waiter: _end_with_edition(waiter, now=now), due)


@transaction.atomic(durable=True)
def _end_with_edition(waiter: Waiter, *, now: datetime) -> int:
    show = waiter.edition.show
    why = "called_off" if show.state == Show.State.CALLED_OFF else "closed"
    if show.state == Show.State.OPEN and now < show.closes_at:
        why = "over"
    return _end(waiter, state=State.LEFT, now=now, tell=_tell_ended(why))


def lapse_offers(*, now: datetime, limit: int = 100) -> int:
    """
    End offers whose time is over; what was kept goes to the next in line. One transaction each.

    Writes: Waiter, Copy.
    Mails: offer_lapsed; copies_offered to the next.
    Repeat: nothing is left to do. Returns how many lapsed.
    """
    due = Waiter.objects.filter(state=State.OFFERED, offer_until_at__lte=now).order_by("offer_until_at", "pk")[:limit]
    return each(lambda waiter: _lapse(waiter, now=now), due)


@transaction.atomic(durable=True)
def _lapse(waiter: Waiter, *, now: datetime) -> int:
    return _end(waiter, state=State.LAPSED, now=now, tell=_tell_lapsed)


def offer_due_copies(*, now: datetime) -> int:
    """
    Offer what is free although somebody waits: copies that came back while the edition was not sold, or from a parcel.

    Everything else is offered in the transaction in which it comes back. One transaction for each edition.
    Writes: Copy, Waiter. Mails: copies_offered.
    Repeat: nothing is left to do. Returns how many copies were offered.
    """
    waiting = Waiter.objects.filter(edition=OuterRef("pk"), state=State.WAITING)
    free = Copy.objects.filter(free_to_take(), edition=OuterRef("pk"))
    shows = {"show__state": Show.State.OPEN, "show__opens_at__lte": now, "show__closes_at__gt": now}
    due = Edition.objects.filter(Exists(waiting), Exists(free), **shows).order_by("pk")
    return each(lambda edition: _offer(edition, now=now), due)


@transaction.atomic(durable=True)
def _offer(edition: Edition, *, now: datetime) -> int:
    return offer_copies(lock_editions([edition.pk])[edition.pk], now=now)
