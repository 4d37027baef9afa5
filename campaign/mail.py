"""One function per mail: its words' context, its key, its kind. Templates are mail/<name>.{subject,txt,html}."""

import hashlib
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.conf import settings
from django.urls import reverse

from campaign import outbox
from campaign.access import make_list_news_token, make_news_token, make_place_token, make_pledge_token
from campaign.models import ChangeRequest, Deadline, OutboxMessage, Pledge, Refund, Show, Studio, Update, Waiter
from campaign.prose import render_markdown
from campaign.queries.audience import Reader
from campaign.queries.late import LateOrder, money_back_by
from campaign.queries.my_order import may_cancel
from campaign.queries.order_lines import Addressed, OrderLines, read_order_lines
from campaign.queries.waiting import read_place

TRANSACTIONAL, CAMPAIGN = OutboxMessage.Kind.TRANSACTIONAL, OutboxMessage.Kind.CAMPAIGN


def public_link(name: str, *args: str) -> str:
    """Absolute address of the named page."""
    return f"{settings.PUBLIC_URL}{reverse(name, args=args)}"


def be_ready(name: str) -> None:
    """
    Load what a process's first mail `name` would load: all pages, to know their addresses, and its templates.

    Seconds that first time, nothing afterwards; to be spent before a lock is taken, not while others wait for it.
    """
    public_link("campaign:front")
    outbox.load_templates(name)


def pledge_context(pledge: Pledge, *, studio: Studio | None = None, order: OrderLines | None = None) -> dict[str, Any]:
    """What every mail about an order may say; `studio` and `order` are read where they are not at hand."""
    return {
        "pledge": pledge,
        "show": pledge.show,
        "studio": studio or Studio.objects.get(pk=1),
        "order": order or read_order_lines(pledge),
        "link": public_link("campaign:pledge_link", make_pledge_token(pledge)),
        "show_link": public_link("campaign:show", pledge.show.code),
    }


def _about_pledge(name: str, *, pledge: Pledge, now: datetime, again: str = "", **more: Any) -> OutboxMessage:
    context = pledge_context(pledge) | {"is_past_cancelling": not may_cancel(pledge, now=now)}
    return outbox.enqueue(
        name=name,
        key=f"{name}:{pledge.code}{again}",
        kind=TRANSACTIONAL,
        recipient=pledge.email,
        reply_to=context["studio"].email,
        context={**context, **more},
        now=now,
        show=pledge.show,
    )


def pledge_placed(*, pledge: Pledge, studio: Studio, order: OrderLines, now: datetime) -> OutboxMessage:
    """
    Confirms an order, says how to pay and until when, carries the private link.

    Rendered before the order is recorded; the caller writes it with it.
    """
    return outbox.render(
        name="pledge_placed",
        key=f"pledge_placed:{pledge.code}",
        kind=TRANSACTIONAL,
        recipient=pledge.email,
        reply_to=studio.email,
        context=pledge_context(pledge, studio=studio, order=order),
        now=now,
        show=pledge.show,
    )


def payment_received(*, pledge: Pledge, received_minor: int, now: datetime, surplus: str = "") -> OutboxMessage:
    """Says that all the money is there and what happens next; of too much, that it is a gift or goes back."""
    over_minor = max(0, received_minor - pledge.total_minor)
    return _about_pledge(
        "payment_received", pledge=pledge, now=now, received_minor=received_minor, over_minor=over_minor,
        surplus=surplus,
    )  # fmt: skip


def payment_part(
    *, pledge: Pledge, key: str, amount_minor: int, missing_minor: int, now: datetime
) -> OutboxMessage | None:
    """Says what came, what is still missing and until when; one for each payment."""
    if not pledge.email:
        return None
    more = {"amount_minor": amount_minor, "missing_minor": missing_minor}
    return _about_pledge("payment_part", pledge=pledge, now=now, again=f":{key}", **more)


def payment_over(*, pledge: Pledge, key: str, amount_minor: int, surplus: str, now: datetime) -> OutboxMessage | None:
    """Money for an order that was paid already, or had ended: it goes back, is a gift, or will be asked about."""
    if not pledge.email:
        return None
    more = {"amount_minor": amount_minor, "surplus": surplus}
    return _about_pledge("payment_over", pledge=pledge, now=now, again=f":{key}", **more)


def hold_reminder(*, pledge: Pledge, now: datetime) -> OutboxMessage:
    """The one reminder before a hold ends."""
    return _about_pledge("hold_reminder", pledge=pledge, now=now)


def confirm_address(*, pledge: Pledge, is_reminder: bool, now: datetime) -> OutboxMessage:
    """Asks whether the order goes to the right place, with the private link to say so; once, and once more."""
    return _about_pledge("confirm_address_again" if is_reminder else "confirm_address", pledge=pledge, now=now)


def pledge_lapsed(*, pledge: Pledge, now: datetime) -> OutboxMessage:
    """Says that the hold has ended and the copies are free again."""
    return _about_pledge("pledge_lapsed", pledge=pledge, now=now)


def pledge_cancelled(*, pledge: Pledge, received_minor: int, now: datetime) -> OutboxMessage:
    """Acknowledges a cancellation and says what goes back."""
    return _about_pledge("pledge_cancelled", pledge=pledge, now=now, received_minor=received_minor)


def withdrawal_received(*, request: ChangeRequest, now: datetime) -> OutboxMessage:
    """Confirms a withdrawal from the contract, with its words and moment: what a durable medium is asked for."""
    return _about_pledge("withdrawal_received", pledge=request.pledge, now=now, request=request)


def late_notice(*, orders: Iterable[LateOrder], now: datetime, is_preview: bool = False) -> list[OutboxMessage]:
    """
    That posting is late: the new day or that there is none, why, the choice, how to make it and what silence means.

    One for each of `orders`, about the newest notice of each; rendered, not written yet. A preview has no private link.
    """
    studio = Studio.objects.get(pk=1)
    return [_late_notice_to(order, studio=studio, now=now, is_preview=is_preview) for order in orders]


def _late_notice_to(order: LateOrder, *, studio: Studio, now: datetime, is_preview: bool) -> OutboxMessage:
    pledge, told = order.pledge, order.last
    link = "(the private link of the order)" if is_preview else _private_link(pledge)
    assert told is not None, "the notice is there before its mail"
    return outbox.render(
        name="late_notice",
        key=f"late_notice:{pledge.code}:{told.notice.number}",
        kind=TRANSACTIONAL,
        recipient=pledge.email,
        reply_to=studio.email,
        context={
            "pledge": pledge,
            "show": pledge.show,
            "studio": studio,
            "late": order,
            "told": told,
            "link": link,
            "show_link": public_link("campaign:show", pledge.show.code),
        },
        now=now,
        show=pledge.show,
    )


def _private_link(pledge: Pledge) -> str:
    return public_link("campaign:pledge_link", make_pledge_token(pledge))


def late_cancelled(*, pledge: Pledge, late: LateOrder, received_minor: int, now: datetime) -> OutboxMessage | None:
    """Ends an order after a notice that posting is late, as asked or by silence; None once the address was removed."""
    if not pledge.email:
        return None
    return _about_pledge(
        "late_cancelled", pledge=pledge, now=now, late=late, told=late.last, received_minor=received_minor,
        back_by_on=money_back_by(pledge, vests_at=now),
    )  # fmt: skip


def show_called_off(*, pledge: Pledge, refunds: list[Refund], now: datetime) -> OutboxMessage | None:
    """The letter that ends an order with its show: what goes back, how and when. None for an erased address."""
    if not pledge.email:
        return None
    return _about_pledge("show_called_off", pledge=pledge, now=now, refunds=refunds)


def refund_made(*, refund: Refund, now: datetime) -> OutboxMessage | None:
    """Says that money has gone back, how much and by which way. None once the person's address was removed."""
    if not refund.pledge.email:
        return None
    return _about_pledge("refund_made", pledge=refund.pledge, now=now, again=f":{refund.pk}", refund=refund)


def address_changed(*, pledge: Pledge, friend: Addressed | None, now: datetime) -> OutboxMessage:
    """Acknowledges a new address of the backer, or of a friend of theirs; one mail per change."""
    goes_to = friend or Addressed(pledge.name, pledge.address)
    again = f":{now:%Y%m%d%H%M%S%f}"
    return _about_pledge("address_changed", pledge=pledge, now=now, again=again, goes_to=goes_to, friend=friend)


def change_asked(*, request: ChangeRequest, now: datetime) -> OutboxMessage:
    """To the artist: a backer asks for a change that the private link does not do any more. An answer goes to them."""
    pledge = request.pledge
    context = show_context(pledge.show)
    return outbox.enqueue(
        name="change_asked",
        key=f"change_asked:{pledge.code}:{request.pk}",
        kind=TRANSACTIONAL,
        recipient=context["studio"].email,
        reply_to=pledge.email,
        context={
            **context,
            "pledge": pledge,
            "request": request,
            "answer_link": public_link("campaign:change_request", pledge.show.code, str(request.request_key)),
        },
        now=now,
        show=pledge.show,
    )


def change_answered(*, request: ChangeRequest, now: datetime) -> OutboxMessage | None:
    """The artist's word on what a backer asked for. None once the person's address was removed."""
    pledge = request.pledge
    if not pledge.email:
        return None
    return _about_pledge("change_answered", pledge=pledge, now=now, again=f":{request.pk}", request=request)


def email_corrected(*, pledge: Pledge, missing_minor: int, now: datetime) -> OutboxMessage:
    """To the address that is right: what was ordered, how it stands, and the new private link; one per change."""
    again = f":{pledge.link_version}"
    return _about_pledge("email_corrected", pledge=pledge, now=now, again=again, missing_minor=missing_minor)


def link_again(*, pledge: Pledge, now: datetime, replaces: bool = False) -> OutboxMessage:
    """The private link once more, each at most once an hour; `replaces`: the ones before it were withdrawn."""
    again = f":{pledge.link_version}:{now:%Y%m%d%H}"
    return _about_pledge("link_again", pledge=pledge, now=now, again=again, replaces=replaces)


def _about_place(name: str, *, waiter: Waiter, now: datetime, again: str = "", **more: Any) -> OutboxMessage:
    context = show_context(waiter.edition.show)
    link = public_link("campaign:place_link", make_place_token(waiter))
    return outbox.enqueue(
        name=name,
        key=f"{name}:{waiter.code}{again}",
        kind=TRANSACTIONAL,
        recipient=waiter.email,
        reply_to=context["studio"].email,
        context={**context, "waiter": waiter, "edition": waiter.edition, "link": link, **more},
        now=now,
        show=waiter.edition.show,
    )


def waiting_noted(*, waiter: Waiter, now: datetime) -> OutboxMessage:
    """Confirms a place in a waiting list, with its private link; at most once an hour."""
    place = read_place(waiter, now=now)
    return _about_place("waiting_noted", waiter=waiter, now=now, again=f":{now:%Y%m%d%H}", place=place)


def copies_offered(*, waiter: Waiter, copies: int, now: datetime) -> OutboxMessage:
    """Copies came back and are kept for somebody who waited; says until when."""
    return _about_place("copies_offered", waiter=waiter, now=now, copies=copies)


def offer_lapsed(*, waiter: Waiter, copies: int, now: datetime) -> OutboxMessage:
    """An offer's time is over and what was kept went to the next in line."""
    return _about_place("offer_lapsed", waiter=waiter, now=now, copies=copies)


def waiting_ended(*, waiter: Waiter, why: str, now: datetime) -> OutboxMessage:
    """A place ends without an order; `why` is closed, called_off, over, limit or taken_off."""
    return _about_place("waiting_ended", waiter=waiter, now=now, why=why)


def _address_digest(email: str) -> str:
    """A name for an address that fits into a key however long the address is."""
    return hashlib.sha256(email.casefold().encode()).hexdigest()[:40]


def news_key(update: Update, *, email: str) -> str:
    """Names the one copy of an update that goes to an address."""
    return f"update_news:{update.code}:{_address_digest(email)}"


def update_news(*, update: Update, readers: Iterable[Reader], now: datetime) -> list[OutboxMessage]:
    """One copy of an update for each reader, with one-click unsubscribe (RFC 8058); rendered, not written yet."""
    context = {**_news_context(update), **show_context(update.show)}
    return [_news_to(reader, context=context, now=now) for reader in readers]


def _news_to(reader: Reader, *, context: dict[str, Any], now: datetime) -> OutboxMessage:
    show = context["show"]
    unsubscribe = unsubscribe_link(reader)
    return outbox.render(
        name="update_news",
        key=news_key(context["update"], email=reader.email),
        kind=CAMPAIGN,
        recipient=reader.email,
        reply_to=context["studio"].email,
        context={**context, "waiter": reader.waiter, "unsubscribe": unsubscribe},
        now=now,
        show=show,
        headers={**list_headers(show), **_one_click(unsubscribe)},
    )


def unsubscribe_link(reader: Reader) -> str:
    """Where a reader ends the news with one click; it names an order or a place in a list, never an address."""
    if reader.pledge is not None:
        return public_link("campaign:unsubscribe", make_news_token(reader.pledge))
    assert reader.waiter is not None, "a reader has an order or waits for a copy"
    return public_link("campaign:unsubscribe_waiter", make_list_news_token(reader.waiter))


def _one_click(link: str) -> dict[str, str]:
    return {"List-Unsubscribe": f"<{link}>", "List-Unsubscribe-Post": "List-Unsubscribe=One-Click"}


def list_headers(show: Show) -> dict[str, str]:
    """What tells a mail program that it is looking at a list (RFC 2919), and where the old news are (RFC 2369)."""
    domain = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].rstrip(">").strip()
    archive = public_link("campaign:news_archive", show.code)
    return {"List-Id": f"<{show.code}.updates.{domain}>", "List-Archive": f"<{archive}>", "List-Post": "NO"}


def update_trial(*, update: Update, now: datetime) -> OutboxMessage:
    """An update as a backer would get it, sent to the artist alone; one per click."""
    studio = Studio.objects.get(pk=1)
    return outbox.enqueue(
        name="update_news",
        key=f"update_trial:{update.code}:{now:%Y%m%d%H%M%S%f}",
        kind=TRANSACTIONAL,
        recipient=studio.email,
        context={
            "show": update.show,
            "studio": studio,
            "show_link": public_link("campaign:show", update.show.code),
            "is_trial": True,
            **_news_context(update),
        },
        now=now,
        show=update.show,
    )


def _news_context(update: Update) -> dict[str, Any]:
    page = public_link("campaign:update", update.show.code, update.code)
    return {"update": update, "body_html": render_markdown(update.body, base=page)}


def deadline_near(*, deadline: Deadline, now: datetime) -> OutboxMessage:
    """To the artist: a date set by others comes near; once for each day it is set to."""
    context = show_context(deadline.show)
    return outbox.enqueue(
        name="deadline_near",
        key=f"deadline_near:{deadline.uid.hex}:{deadline.on:%Y%m%d}",
        kind=TRANSACTIONAL,
        recipient=context["studio"].email,
        context={
            **context,
            "deadline": deadline,
            "days": (deadline.on - now.astimezone(deadline.show.zone).date()).days,
            "days_link": public_link("campaign:schedule", deadline.show.code),
        },
        now=now,
        show=deadline.show,
    )


def show_context(show: Show) -> dict[str, Any]:
    """What a mail about a show may say without an order."""
    return {"show": show, "studio": Studio.objects.get(pk=1), "show_link": public_link("campaign:show", show.code)}


def mails_are_files() -> bool:
    """True while there is no mail server: every mail is then a file in the data folder and reaches nobody."""
    return not settings.EMAIL_HOST
