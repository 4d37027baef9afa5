"""Orders and gifts: placing, changing, cancelling, and what happens to those that are not paid in time."""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction
from django.db.models import F, Sum

from campaign import mail
from campaign.errors import (
    CampaignNotOpen,
    NoPostage,
    NotEnoughCopies,
    NotInThisState,
    OverLimit,
    SumChanged,
    TooLateToChange,
    WayNotOffered,
)
from campaign.measures.money import portion_bp
from campaign.models import Copy, Edition, Pledge, PostageRate, Show, Studio
from campaign.models.codes import new_pledge_code
from campaign.queries.money import received_for
from campaign.queries.postage import find_postage, is_way_offered
from campaign.references import make_reference
from campaign.services.copies import give_back_copies, take_copies
from campaign.services.owing import owe_rest
from campaign.services.rows import each

State = Pledge.State
FIRST_REST = timedelta(days=1)  # no reminder sooner after the order, however short the hold


@dataclass(frozen=True, slots=True)
class Order:
    """What a backer asks for; `edition_code` empty and `copies` 0 for a gift without a print."""

    name: str
    email: str
    way: str
    edition_code: str = ""
    copies: int = 0
    gift_minor: int = 0
    address: Mapping[str, str] = field(default_factory=dict)
    is_thanked_by_name: bool = False
    wants_updates: bool = False
    message: str = ""
    agreed_total_minor: int | None = None  # the sum the backer saw; None where nobody was shown one


def place_pledge(*, show: Show, request_key: uuid.UUID, order: Order, now: datetime) -> Pledge:
    """
    Record an order or gift and hold its copies.

    Writes: Pledge, Copy.
    Mails: pledge_placed.
    Raises: CampaignNotOpen, OverLimit, NoPostage, NotEnoughCopies, WayNotOffered, SumChanged.
    Repeat: the same `request_key` gives the pledge that is already there, unchanged.
    """
    known = Pledge.objects.filter(request_key=request_key).first()
    if known:
        return known
    if order.copies and not _is_any_free(show, edition_code=order.edition_code):
        # Said from what is committed, without queueing for the write lock: the rush for a print outlasts its last copy.
        raise NotEnoughCopies(left=0)
    try:
        return _place(show_pk=show.pk, request_key=request_key, order=order, now=now)
    except IntegrityError:
        # Two identical submits at once on PostgreSQL: the other one won, its pledge is the answer.
        known = Pledge.objects.filter(request_key=request_key).first()
        if known is None:
            raise
        return known


def _is_any_free(show: Show, *, edition_code: str) -> bool:
    return Copy.objects.filter(
        edition__show=show, edition__code=edition_code, state=Copy.State.FREE, is_packed=False
    ).exists()


@transaction.atomic(durable=True)
def _place(*, show_pk: int, request_key: uuid.UUID, order: Order, now: datetime) -> Pledge:
    known = Pledge.objects.filter(request_key=request_key).first()
    if known:  # on SQLite the second of two identical submits gets here after the first has committed
        return known
    show = Show.objects.get(pk=show_pk)
    if show.state != Show.State.OPEN or not show.opens_at <= now < show.closes_at:
        raise CampaignNotOpen(
            opens_at=show.opens_at.astimezone(show.zone), closes_at=show.closes_at.astimezone(show.zone), now=now
        )
    if not is_way_offered(studio=Studio.objects.get(pk=1), show=show, way=order.way):
        raise WayNotOffered(way=order.way)
    # Locked before the limit is checked: two orders of one person at once must see each other.
    editions = Edition.objects.select_for_update(no_key=True).filter(show=show)
    edition = editions.get(code=order.edition_code) if order.copies else None
    pledge = _build(show=show, edition=edition, order=order, request_key=request_key, now=now)
    if edition:
        _check_limit(edition, email=order.email, copies=order.copies)
    if order.agreed_total_minor not in (None, pledge.total_minor):
        raise SumChanged(agreed_minor=order.agreed_total_minor or 0, total_minor=pledge.total_minor)
    pledge.full_clean(validate_unique=False, validate_constraints=False)
    pledge.save(force_insert=True)
    numbers = take_copies(pledge=pledge, edition=edition, count=order.copies) if edition else []
    mail.pledge_placed(pledge=pledge, numbers=numbers, now=now)
    return pledge


def _build(*, show: Show, edition: Edition | None, order: Order, request_key: uuid.UUID, now: datetime) -> Pledge:
    rate = _rate_for(show=show, order=order) if edition else None
    prints_minor = edition.price_minor * order.copies if edition else 0
    total_minor = prints_minor + order.gift_minor + (rate.charge_minor if rate else 0)
    code = new_pledge_code()
    return Pledge(
        show=show,
        code=code,
        request_key=request_key,
        name=order.name,
        email=order.email,
        address=dict(order.address),
        is_thanked_by_name=order.is_thanked_by_name,
        wants_updates=order.wants_updates,
        message=order.message,
        edition=edition,
        copies=order.copies,
        currency=show.currency,
        prints_minor=prints_minor,
        postage_minor=rate.charge_minor if rate else 0,
        gift_minor=order.gift_minor,
        postage_cost_minor=rate.cost_minor if rate else 0,
        make_cost_minor=edition.make_cost_minor * order.copies if edition else 0,
        pack_cost_minor=edition.pack_cost_minor * order.copies if edition else 0,
        set_aside_minor=portion_bp(total_minor, bp=show.set_aside_bp),
        posting_by_on=show.posting_by_on if edition else None,
        way=order.way,
        reference=make_reference(code),
        placed_at=now,
        hold_until_at=now + timedelta(days=show.hold_days),
    )


def _rate_for(*, show: Show, order: Order) -> PostageRate:
    country = order.address.get("country_code", "")
    rate = find_postage(show=show, country=country, copies=order.copies)
    if rate is None:
        raise NoPostage(country=country or "an order without a country")
    return rate


def _check_limit(edition: Edition, *, email: str, copies: int) -> None:
    live = Pledge.objects.filter(edition=edition, email__iexact=email, state__in=[State.HELD, State.PAID])
    already = live.aggregate(n=Sum("copies", default=0))["n"]
    if already + copies > edition.limit_per_person:
        raise OverLimit(limit=edition.limit_per_person, already=already)


@transaction.atomic(durable=True)
def change_address(*, pledge: Pledge, name: str, address: Mapping[str, str], now: datetime) -> Pledge:
    """
    Send the prints somewhere else, within the same postage.

    Writes: Pledge.
    Mails: address_changed.
    Raises: TooLateToChange once printing ended or the order has ended; NoPostage if the new country costs more.
    Repeat: the same address again changes nothing and mails nothing.
    """
    # The show too: whoever ends printing waits for this address, or this one is too late.
    locked = Pledge.objects.select_for_update(of=("self", "show"), no_key=True).select_related("show")
    current = locked.get(pk=pledge.pk)
    if current.show.state == Show.State.PRINTED or current.state not in (State.HELD, State.PAID):
        raise TooLateToChange(until=None)
    if current.name == name and current.address == dict(address):
        return current
    if current.copies:
        rate = find_postage(show=current.show, country=address.get("country_code", ""), copies=current.copies)
        if rate is None or rate.charge_minor > current.postage_minor:
            raise NoPostage(country=address.get("country_code", "there"))
        current.postage_cost_minor = rate.cost_minor
    current.name, current.address = name, dict(address)
    current.save(update_fields=["name", "address", "postage_cost_minor"])
    mail.address_changed(pledge=current, now=now)
    return current


@transaction.atomic(durable=True)
def cancel_pledge(*, pledge: Pledge, by_backer: bool, now: datetime) -> Pledge:
    """
    End an order; its copies return to the edition. Money received is owed back and shown so until it is booked.

    Writes: Pledge, Copy, Refund.
    Mails: pledge_cancelled.
    Raises: TooLateToChange for a backer after the cut-off; NotInThisState if it has ended another way.
    Repeat: an order that is cancelled already stays so; no second mail.
    """
    # Locked: a payment that is just being booked comes first, and its money is then said to be owed back.
    current = Pledge.objects.select_for_update(of=("self",), no_key=True).select_related("show").get(pk=pledge.pk)
    if current.state == State.CANCELLED:
        return current
    until = current.show.cancel_until_on
    if by_backer and now.astimezone(current.show.zone).date() > until:
        raise TooLateToChange(until=until)
    if (current.state, "cancel") not in Pledge.MOVES:
        raise NotInThisState(what="This order", state=current.get_state_display())
    Pledge.objects.filter(pk=current.pk, state=current.state).update(state=State.CANCELLED, ended_at=now)
    give_back_copies(current)
    current.refresh_from_db()
    owe_rest(pledge=current, key=f"cancelled:{current.code}", reason="The order was cancelled", now=now)
    mail.pledge_cancelled(pledge=current, received_minor=received_for(current), now=now)
    return current


def lapse_due_holds(*, now: datetime, limit: int = 100) -> int:
    """
    End orders whose time to pay is over and for which no money came; one transaction each.

    Writes: Pledge, Copy.
    Mails: pledge_lapsed.
    Repeat: nothing is left to do. Returns how many lapsed.
    """
    due = Pledge.objects.filter(state=State.HELD, hold_until_at__lt=now).order_by("hold_until_at")[:limit]
    return each(lambda pledge: _lapse(pledge, now=now), due)


@transaction.atomic(durable=True)
def _lapse(pledge: Pledge, *, now: datetime) -> int:
    # The conditional UPDATE comes first: it takes the write lock, so no payment can slip in behind the check.
    moved = Pledge.objects.filter(pk=pledge.pk, state=State.HELD, hold_until_at__lt=now).update(
        state=State.LAPSED, ended_at=now
    )
    if moved == 0:
        return 0
    if received_for(pledge) > 0:  # part of the money is here: the artist decides, the hold stays
        Pledge.objects.filter(pk=pledge.pk).update(
            state=State.HELD, ended_at=None, hold_until_at=F("hold_until_at") + timedelta(days=7)
        )
        return 0
    give_back_copies(pledge)
    mail.pledge_lapsed(pledge=pledge, now=now)
    return 1


def remind_due_holds(*, now: datetime, limit: int = 100) -> int:
    """
    One reminder to each order whose time to pay ends soon; one transaction each.

    Writes: Pledge.reminded_at.
    Mails: hold_reminder.
    Repeat: nobody is reminded twice. Returns how many were reminded.
    """
    waiting = Pledge.objects.filter(state=State.HELD, reminded_at=None, hold_until_at__gte=now).select_related("show")
    due: list[Pledge] = []
    for show in Show.objects.filter(pledges__in=waiting).distinct():  # each has its own number of days
        soon = waiting.filter(show=show, hold_until_at__lte=now + timedelta(days=show.reminder_days))
        rested = soon.filter(placed_at__lte=now - FIRST_REST).order_by("hold_until_at")
        due.extend(rested[: limit - len(due)])
    return each(lambda pledge: _remind(pledge, now=now), due)


@transaction.atomic(durable=True)
def _remind(pledge: Pledge, *, now: datetime) -> int:
    moved = Pledge.objects.filter(pk=pledge.pk, state=State.HELD, reminded_at=None).update(reminded_at=now)
    if moved == 1:
        mail.hold_reminder(pledge=pledge, now=now)
    return moved
