"""Orders and gifts: placing, changing, cancelling, and what happens to those that are not paid in time."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction
from django.db.models import Exists, F, OuterRef, Sum

from campaign import mail
from campaign.errors import (
    NotEnoughCopies,
    NotInThisState,
    NotOnSale,
    OverLimit,
    Refusal,
    SumChanged,
    TooLateToChange,
    WayNotOffered,
)
from campaign.models import (
    Copy,
    Edition,
    Pledge,
    PledgeLine,
    PostageRate,
    Show,
    Source,
    Studio,
    TaxRate,
    Waiter,
    free_to_take,
)
from campaign.models.codes import new_pledge_code
from campaign.queries.basket import Basket, LineWish, Tables, price_basket
from campaign.queries.money import received_for
from campaign.queries.order_lines import order_lines_of
from campaign.queries.order_terms import OrderTerms
from campaign.queries.postage import is_way_offered
from campaign.references import make_reference
from campaign.services.copies import give_back_copies, lock_editions, take_copies
from campaign.services.offers import check_offer, end_place, is_on_offer, offer_copies
from campaign.services.on_sale import check_open, check_window
from campaign.services.owing import lock_pledge, owe_rest
from campaign.services.rows import each
from campaign.services.sources import find_source
from campaign.services.turns import in_turn

State = Pledge.State
FIRST_REST = timedelta(days=1)  # no reminder sooner after the order, however short the hold


@dataclass(frozen=True, slots=True)
class Order:
    """What a backer asks for, for themselves and for friends; no `lines` for a gift without a print."""

    name: str
    email: str
    way: str
    lines: tuple[LineWish, ...] = ()
    gift_minor: int = 0
    address: Mapping[str, str] = field(default_factory=dict)
    is_thanked_by_name: bool = False
    wants_updates: bool = False
    message: str = ""
    source_tag: str = ""  # of the link followed; one that nobody made counts as none
    agreed_total_minor: int | None = None  # the sum the backer saw; None where nobody was shown one

    def __post_init__(self) -> None:
        if any(line.copies <= 0 for line in self.lines):
            raise ValueError("a line is for one copy or more")

    @property
    def copies_of(self) -> dict[str, int]:
        """Copies by the code of their edition."""
        copies: dict[str, int] = {}
        for line in self.lines:
            copies[line.edition_code] = copies.get(line.edition_code, 0) + line.copies
        return copies


def place_pledge(
    *,
    show: Show,
    request_key: uuid.UUID,
    order: Order,
    now: datetime,
    waiter: Waiter | None = None,
    terms: OrderTerms | None = None,
) -> Pledge:
    """
    Record an order or gift and hold its copies, of all its editions or of none.

    With a `waiter`, what is offered to them is theirs; what they leave of it is offered to the next in line.
    `terms` are what the form was filled in on, read a moment ago: the copies left, the tables of postage and taxes.
    Writes: Pledge, PledgeLine, Copy; Waiter.
    Mails: pledge_placed.
    Raises: CampaignNotOpen, NotOnSale, OverLimit, NoPostage, NotEnoughCopies, WayNotOffered, SumChanged; OfferEnded.
    Repeat: the same `request_key` gives the pledge that is already there, unchanged.
    """
    if terms is None:
        known = _find_known(request_key)
        if known:
            return known
        if order.lines and waiter is None:
            _refuse_sold_out(show, codes=order.copies_of, now=now)
    ahead = _read_ahead(show, order=order, terms=terms)
    try:
        with in_turn():
            return _place(ahead, request_key=request_key, order=order, now=now, waiter=waiter)
    except (IntegrityError, Refusal):
        # Of two identical submits at once the other one won: its pledge is the answer to both.
        known = _find_known(request_key)
        if known is None:
            raise
        return known


def _find_known(request_key: uuid.UUID) -> Pledge | None:
    made = Pledge.objects.filter(request_key=request_key)
    return made.get() if made.exists() else None


def _refuse_sold_out(show: Show, *, codes: Mapping[str, int], now: datetime) -> None:
    """From what is committed, without queueing for the write lock: the rush for a print outlasts its last copy."""
    free = Copy.objects.filter(free_to_take(), edition=OuterRef("pk"))
    sold_out = Edition.objects.filter(~Exists(free), show=show, code__in=codes).select_related("show")
    for edition in sold_out:
        if is_on_offer(edition, now=now):  # where it is not, that is what is said, and not that no copy is left
            raise NotEnoughCopies(left=0, title=edition.title)


@dataclass(frozen=True, slots=True)
class _Ahead:
    """What an order needs and no other order changes: read before anybody has to wait for the lock."""

    show_pk: int
    studio: Studio
    rates: Sequence[PostageRate]
    taxes: Sequence[TaxRate]
    source: Source | None


def _read_ahead(show: Show, *, order: Order, terms: OrderTerms | None) -> _Ahead:
    mail.be_ready("pledge_placed")
    tables = terms.tables if terms else None
    return _Ahead(
        show_pk=show.pk,
        studio=terms.studio if terms else Studio.objects.get(pk=1),
        rates=tables.rates if tables else list(show.postage_rates.all()),
        taxes=tables.taxes if tables else list(show.tax_rates.all()),
        source=find_source(show=show, tag=order.source_tag),
    )


@transaction.atomic(durable=True)
def _place(ahead: _Ahead, *, request_key: uuid.UUID, order: Order, now: datetime, waiter: Waiter | None) -> Pledge:
    editions = _lock_wanted(ahead.show_pk, order=order)
    show = editions[0].show if editions else Show.objects.get(pk=ahead.show_pk)
    check_open(show, now=now)
    if not is_way_offered(studio=ahead.studio, show=show, way=order.way):
        raise WayNotOffered(way=order.way)
    _check_on_sale(editions, show=show, order=order, now=now)
    if waiter:
        waiter = check_offer(waiter, now=now)
    tables = Tables(
        {edition.code: edition for edition in editions}, ahead.rates, ahead.taxes, now.astimezone(show.zone).date()
    )
    basket = price_basket(tables, lines=order.lines, address=order.address, gift_minor=order.gift_minor)
    pledge = _build(ahead, show=show, basket=basket, order=order, request_key=request_key, now=now)
    if order.agreed_total_minor not in (None, pledge.total_minor):
        raise SumChanged(agreed_minor=order.agreed_total_minor or 0, total_minor=pledge.total_minor)
    pledge.full_clean(exclude=["show", "source"], validate_unique=False, validate_constraints=False)
    pledge.save(force_insert=True)
    lines = PledgeLine.objects.bulk_create(_build_lines(pledge, basket=basket)) if basket.lines else []
    held = {edition.pk: edition for edition in editions}
    numbers = take_copies(pledge=pledge, waiter=waiter, now=now, lines=lines, editions=held)
    if waiter:
        _take_offer(waiter, pledge=pledge, now=now)
    words = order_lines_of(pledge, rows=lines, numbers=numbers)
    mail.pledge_placed(pledge=pledge, studio=ahead.studio, order=words, now=now)
    return pledge


def _take_offer(waiter: Waiter, *, pledge: Pledge, now: datetime) -> None:
    end_place(waiter, state=Waiter.State.TAKEN, pledge=pledge, now=now)
    for edition in lock_editions([waiter.edition_id]).values():
        offer_copies(edition, now=now)


def _lock_wanted(show_pk: int, *, order: Order) -> list[Edition]:
    """
    The editions of the order with their show, locked before limits are checked: two orders of one person must see
    each other. In the order of their keys, as all lock them. Raises: NotOnSale.
    """
    wanted = order.copies_of
    if not wanted:
        return []
    rows = Edition.objects.select_for_update(no_key=True, of=("self",)).select_related("show")
    editions = list(rows.filter(show=show_pk, code__in=wanted).order_by("pk"))
    unknown = sorted(set(wanted) - {edition.code for edition in editions})
    if unknown:
        raise NotOnSale(title=unknown[0])
    return editions


def _check_on_sale(editions: Sequence[Edition], *, show: Show, order: Order, now: datetime) -> None:
    """Raises: NotOnSale, OverLimit."""
    for edition in editions:
        check_window(edition, show=show, now=now)
    if editions:
        _check_limits(editions, email=order.email, wanted=order.copies_of)


def _check_limits(editions: Sequence[Edition], *, email: str, wanted: Mapping[str, int]) -> None:
    live = PledgeLine.objects.filter(edition__in=editions, pledge__email__iexact=email, pledge__state__in=Pledge.LIVE)
    ordered = dict(live.order_by().values_list("edition").annotate(n=Sum("copies")))
    for edition in editions:
        already = ordered.get(edition.pk, 0)
        if already + wanted[edition.code] > edition.limit_per_person:
            raise OverLimit(limit=edition.limit_per_person, already=already, title=edition.title)


def _build(ahead: _Ahead, *, show: Show, basket: Basket, order: Order, request_key: uuid.UUID, now: datetime) -> Pledge:
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
        source=ahead.source,
        copies=basket.copies,
        currency=show.currency,
        prints_minor=basket.prints_minor,
        postage_minor=basket.postage_minor,
        gift_minor=basket.gift_minor,
        postage_cost_minor=basket.postage_cost_minor,
        make_cost_minor=sum(line.make_cost_minor for line in basket.lines),
        pack_cost_minor=sum(line.pack_cost_minor for line in basket.lines),
        set_aside_minor=basket.kept_minor(set_aside_bp=show.set_aside_bp),
        tax_name=basket.tax.name,
        tax_bp=basket.tax.rate_bp,
        tax_minor=basket.tax_minor,
        tax_added_minor=basket.tax_added_minor,
        posting_by_on=show.posting_by_on if basket.lines else None,
        way=order.way,
        reference=make_reference(code),
        placed_at=now,
        hold_until_at=now + timedelta(days=show.hold_days),
    )


def _build_lines(pledge: Pledge, *, basket: Basket) -> list[PledgeLine]:
    return [
        PledgeLine(
            pledge=pledge,
            edition=line.edition,
            copies=line.wish.copies,
            prints_minor=line.prints_minor,
            make_cost_minor=line.make_cost_minor,
            pack_cost_minor=line.pack_cost_minor,
            recipient_name=line.wish.recipient_name,
            address=dict(line.wish.address),
        )
        for line in basket.lines
    ]


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
    current = lock_pledge(pledge.pk)
    until = current.show.cancel_until_on
    if by_backer and current.state != State.CANCELLED and now.astimezone(current.show.zone).date() > until:
        raise TooLateToChange(until=until)
    return end_order(current, now=now)


def end_order(current: Pledge, *, now: datetime) -> Pledge:
    """
    The steps of `cancel_pledge`, within the transaction of a caller that has locked the pledge.

    Raises: NotInThisState if the order has ended another way.
    Repeat: an order that is cancelled already stays so; no second mail.
    """
    if current.state == State.CANCELLED:
        return current
    if (current.state, "cancel") not in Pledge.MOVES:
        raise NotInThisState(what="This order", state=current.get_state_display())
    Pledge.objects.filter(pk=current.pk, state=current.state).update(state=State.CANCELLED, ended_at=now)
    give_back_copies(current, now=now)
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
    give_back_copies(pledge, now=now)
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
