"""What is known of one person, handed over or removed. Orders, copies and cash book stay; who it was goes."""

import hashlib
import hmac
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import Q, QuerySet

from campaign.errors import NotReady
from campaign.measures.dates import months_later
from campaign.models import (
    BankLine,
    Bounce,
    CashEntry,
    ChangeRequest,
    Copy,
    Erasure,
    LateAnswer,
    LinkRequest,
    OutboxMessage,
    Pledge,
    PledgeLine,
    Refund,
    Show,
    Suppression,
    Waiter,
)
from campaign.queries.money import received_for
from campaign.services.copies import lock_editions
from campaign.services.offers import end_place, offer_copies

OWED = (Refund.State.OWED, Refund.State.SENDING, Refund.State.FAILED)


@dataclass(frozen=True, slots=True)
class Erased:
    """What an erasure removed: how many orders lost their person, mails their words and places in a list their name."""

    orders: int
    mails: int
    waiting: int


def read_person(email: str) -> dict[str, Any]:
    """
    Everything kept about the person behind `email`, as plain values for JSON; lists are empty where nothing is.

    Bank lines and refunds are those of the person's orders. Parcels and papers are added by fulfilment.
    """
    email = email.strip()
    mine = {"email__iexact": email}
    mails = OutboxMessage.objects.filter(recipient__iexact=email)
    pledges = Pledge.objects.filter(**mine).select_related("show", "source").order_by("pk")
    return {
        "email": email,
        "orders": [_order(pledge) for pledge in pledges],
        "waiting_list": _rows(
            Waiter.objects.filter(**mine),
            "edition__title",
            "name",
            "copies",
            "state",
            "asked_at",
            "offered_at",
            "offer_until_at",
            "ended_at",
        ),
        "no_news_of": _rows(Suppression.objects.filter(**mine), "show__title", "created_at"),
        "mails_returned": _rows(Bounce.objects.filter(**mine), "kind", "status", "words", "read_at"),
        "links_asked_for": _rows(LinkRequest.objects.filter(**mine), "show__title", "asked_at"),
        "mails": _rows(mails, "name", "subject", "text", "state", "created_at", "sent_at"),
    }


def _order(pledge: Pledge) -> dict[str, Any]:
    mine = {"pledge": pledge}
    money, bank = CashEntry.objects.filter(**mine), BankLine.objects.filter(**mine)
    refunds, requests = Refund.objects.filter(**mine), ChangeRequest.objects.filter(**mine)
    return {
        "show": pledge.show.title,
        "order": pledge.code,
        "state": pledge.state,
        "name": pledge.name,
        "address": pledge.address,
        "message": pledge.message,
        "thanked_by_name": pledge.is_thanked_by_name,
        "wants_updates": pledge.wants_updates,
        "came_by": pledge.source.name if pledge.source else "",
        "currency": pledge.currency,
        "total_minor": pledge.total_minor,
        "placed_at": pledge.placed_at.isoformat(),
        "asked_for_the_address_at": pledge.address_asked_at and pledge.address_asked_at.isoformat(),
        "reminded_of_the_address_at": pledge.address_reminded_at and pledge.address_reminded_at.isoformat(),
        "address_confirmed_at": pledge.address_confirmed_at and pledge.address_confirmed_at.isoformat(),
        "lines": _rows(pledge.lines.all(), "edition__title", "copies", "prints_minor", "recipient_name", "address"),
        "copies": _rows(Copy.objects.filter(**mine), "edition__title", "number"),
        "money": _rows(money, "happened_on", "debit", "credit", "amount_minor", "text"),
        "bank_lines": _rows(bank, "booked_on", "amount_minor", "party_name", "party_iban", "text"),
        "refunds": _rows(refunds, "amount_minor", "way", "state", "iban", "account_holder"),
        "requests": _rows(requests, "text", "state", "answer", "asked_at", "answered_at"),
        "answers_to_late_notices": _rows(LateAnswer.objects.filter(**mine), "notice__number", "word", "answered_at"),
    }


def _rows(rows: Any, *fields: str) -> list[dict[str, Any]]:
    def plain(value: Any) -> Any:
        return value.isoformat() if isinstance(value, (date, datetime)) else value

    return [
        {field.replace("__", "_"): plain(value) for field, value in row.items()}
        for row in rows.order_by("pk").values(*fields)
    ]


def erase_person(*, email: str, reason: str, now: datetime) -> Erased:
    """
    Remove name, addresses and words of the person behind `email`; sums, numbers and cash book stay.

    Writes: Pledge, PledgeLine, Waiter, Copy, OutboxMessage, BankLine, Refund, ChangeRequest, Erasure; deletes
    Suppression, Bounce and LinkRequest rows of the address. Mails not yet sent are dropped.
    Raises: NotReady while an order still waits for money, a parcel or a refund: it could not be carried out any more.
    Repeat: an address that is not there any more gives zeros.
    """
    email = email.strip()
    with transaction.atomic(durable=True):
        # Locked: nobody pays, posts or changes what is about to lose its person.
        locked = Pledge.objects.select_for_update(of=("self",), no_key=True)
        pledges = list(locked.filter(email__iexact=email))
        waits = [words for pledge in pledges if (words := why_not_yet(pledge))]
        if waits:
            raise NotReady(waits[0])
        mails = _erase_mails(Q(recipient__iexact=email))
        waiting = _erase_places(Waiter.objects.filter(email__iexact=email), reason=reason, now=now)
        Suppression.objects.filter(email__iexact=email).delete()
        Bounce.objects.filter(email__iexact=email).delete()
        LinkRequest.objects.filter(email__iexact=email).delete()
        erase_orders(pledges, reason=reason, now=now)
    return Erased(orders=len(pledges), mails=mails, waiting=waiting)


def why_not_yet(pledge: Pledge) -> str:
    """Why an order still needs its person, in words; empty if it does not."""
    if pledge.state == Pledge.State.HELD:
        return f"Order {pledge.code} still waits for its payment. Cancel it or let it lapse first."
    if pledge.refunds.filter(state__in=OWED).exists():
        return f"Money is owed back for order {pledge.code}. Give it back first, or call the refund off."
    if pledge.state == Pledge.State.PAID and Copy.objects.filter(pledge=pledge, is_posted=False).exists():
        return f"The prints of order {pledge.code} are not posted yet. Post them, or cancel the order, first."
    if pledge.state != Pledge.State.PAID and received_for(pledge) > 0 and not pledge.refunds.exists():
        return f"Money came for order {pledge.code} after it had ended. Decide first what becomes of it."
    return ""


def erase_orders(pledges: Sequence[Pledge], *, reason: str, now: datetime) -> None:
    """
    Take the person out of these orders and what hangs on them; inside the caller's transaction.

    Repeat: an erased order is left as it is.
    """
    for pledge in pledges:
        if pledge.erased_at:
            continue
        Erasure.objects.create(
            pledge_code=pledge.code, email_hash=hash_address(pledge.email), reason=reason, erased_at=now
        )
        # A bank line keeps its hash, so that the same statement read again is still known.
        BankLine.objects.filter(pledge=pledge).update(party_name="", party_iban="", text="", note="")
        Refund.objects.filter(pledge=pledge).update(iban="", account_holder="")
        asked = ChangeRequest.objects.filter(pledge=pledge)
        asked.update(text="(erased)", answer="")
        # What they asked for is known no more, so nobody waits for an answer.
        asked.filter(state=ChangeRequest.State.ASKED).update(state=ChangeRequest.State.DECLINED, answered_at=now)
        PledgeLine.objects.filter(pledge=pledge).update(recipient_name="", address={})
        _erase_mails(Q(key__endswith=f":{pledge.code}") | Q(key__contains=f":{pledge.code}:"))
        Pledge.objects.filter(pk=pledge.pk).update(
            name="",
            email="",
            address={},
            message="",
            is_thanked_by_name=False,
            wants_updates=False,
            erased_at=now,
            link_version=pledge.link_version + 1,  # a private link in an old mail opens nothing any more
        )


def erase_finished_shows(*, now: datetime, limit: int = 200) -> int:
    """
    Remove the people of shows that have been over for as long as the artist keeps addresses; what the sweep calls.

    An order that still needs its person is left, and comes again. One transaction for each show.
    Repeat: nothing is left to do. Returns how many orders lost their person.
    """
    erased = 0
    for show in Show.objects.filter(last_day_on__lt=now.date()):
        if now.date() >= months_later(show.last_day_on, show.keep_addresses_months):
            erased += _erase_show(show, now=now, limit=limit - erased)
    return erased


@transaction.atomic(durable=True)
def _erase_show(show: Show, *, now: datetime, limit: int) -> int:
    locked = Pledge.objects.select_for_update(of=("self",), no_key=True)
    kept = list(locked.filter(show=show, erased_at=None).order_by("pk")[: max(0, limit)])
    ready = [pledge for pledge in kept if not why_not_yet(pledge)]
    erase_orders(ready, reason="kept no longer", now=now)
    old = Waiter.objects.filter(edition__show=show).exclude(email="").exclude(state=Waiter.State.OFFERED)
    emails = [*(pledge.email for pledge in ready), *old.values_list("email", flat=True)]
    old.filter(state=Waiter.State.WAITING).update(state=Waiter.State.LEFT, ended_at=now)
    old.update(name="", email="")
    _forget_addresses(show, emails=emails)
    return len(ready)


def _forget_addresses(show: Show, *, emails: Sequence[str]) -> None:
    """What was kept of people by their address alone, once no order or place of the show has it any more."""
    for email in {email.casefold() for email in emails} - {""}:
        waiting, ordered = Waiter.objects.filter(email__iexact=email), Pledge.objects.filter(email__iexact=email)
        if ordered.filter(show=show).exists() or waiting.filter(edition__show=show).exists():
            continue
        _erase_mails(Q(show=show, recipient__iexact=email))
        Suppression.objects.filter(show=show, email__iexact=email).delete()
        if not ordered.exists() and not waiting.exists():  # a report is about the address, whatever the show
            Bounce.objects.filter(email__iexact=email).delete()


def erase_again(codes: Sequence[str], *, now: datetime) -> int:
    """
    After a backup was put back: take out the people again who were removed since it was taken.

    Repeat: nothing is left to do. Returns how many orders lost their person.
    """
    with transaction.atomic(durable=True):
        locked = Pledge.objects.select_for_update(of=("self",), no_key=True).select_related("show")
        back = list(locked.filter(code__in=codes, erased_at=None))
        erase_orders(back, reason="removed again after a backup was put back", now=now)
        for pledge in back:
            _forget_addresses(pledge.show, emails=[pledge.email])
        _erase_places(Waiter.objects.filter(code__in=codes).exclude(email=""), reason="removed again", now=now)
    return len(back)


def _erase_places(places: QuerySet[Waiter], *, reason: str, now: datetime) -> int:
    """Places in waiting lists end and lose their person; an erasure names each by its code, as it names an order."""
    found = list(places)
    editions = lock_editions(waiter.edition_id for waiter in found if waiter.state in Waiter.LIVE)
    for waiter in found:
        end_place(waiter, state=Waiter.State.LEFT, now=now)
        Erasure.objects.create(
            pledge_code=waiter.code, email_hash=hash_address(waiter.email), reason=reason, erased_at=now
        )
        _erase_mails(Q(key__endswith=f":{waiter.code}") | Q(key__contains=f":{waiter.code}:"))
    for edition in editions.values():  # what was kept for them is for the next in line
        offer_copies(edition, now=now)
    return Waiter.objects.filter(pk__in=[waiter.pk for waiter in found]).update(name="", email="")


def _erase_mails(which: Q) -> int:
    State = OutboxMessage.State
    mails = OutboxMessage.objects.filter(which).exclude(recipient="")
    mails.filter(state__in=[State.PENDING, State.PAUSED, State.STUCK, State.UNKNOWN]).update(state=State.DROPPED)
    return mails.update(recipient="", subject="", text="", html="", headers={})


def hash_address(email: str) -> str:
    """A salted name of an address: says whether an address is meant, never which (HMAC-SHA-256, the site's secret)."""
    return hmac.new(settings.SECRET_KEY.encode(), email.strip().casefold().encode(), hashlib.sha256).hexdigest()
