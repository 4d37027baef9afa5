"""Orders and gifts: placing, changing, cancelling, and what happens to those that are not paid in time."""

import uuid
from collections.abc import Mapping
from datetime import datetime, timedelta

from django.db import IntegrityError, connection, transaction
from django.db.models import Exists, F, OuterRef

from campaign import mail, outbox
from campaign.errors import NotEnoughCopies, NotInThisState, OverLimit, Refusal, TooLateToChange
from campaign.models import Copy, Edition, Pledge, PledgeLine, Show, Waiter, free_to_take
from campaign.models.rows import insert
from campaign.queries.money import received_for
from campaign.queries.order_ground import lock_as_read, read_ground, show_as_read
from campaign.queries.order_terms import OrderTerms
from campaign.services.copies import give_back_copies, lock_editions, take_copies
from campaign.services.offers import check_offer, end_place, is_on_offer, offer_copies
from campaign.services.order_drafts import Draft, Order, draft_order
from campaign.services.owing import lock_pledge, owe_rest
from campaign.services.rows import each
from campaign.services.sources import find_source
from campaign.services.turns import in_turn

__all__ = ["Order", "cancel_pledge", "end_order", "lapse_due_holds", "place_pledge", "remind_due_holds"]

State = Pledge.State
FIRST_REST = timedelta(days=1)  # no reminder sooner after the order, however short the hold


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
    `terms` are what the form was filled in on, read a moment ago. What the artist has edited since is seen.
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
    mail.be_ready("pledge_placed")
    try:
        draft = draft_order(
            terms.ground if terms else read_ground(show),
            order=order,
            source=find_source(show=show, tag=order.source_tag),
            request_key=request_key,
            now=now,
        )
        with in_turn():
            return _place(draft, waiter=waiter, now=now)
    except (IntegrityError, Refusal):
        # Of two identical submits at once the other one won: its pledge is the answer to both.
        known = _find_known(request_key)
        if known is None:
            raise
        return known


def _find_known(request_key: uuid.UUID) -> Pledge | None:
    known = Pledge.objects.filter(request_key=request_key).first()
    if known:
        known.was_there = True
    return known


def _refuse_sold_out(show: Show, *, codes: Mapping[str, int], now: datetime) -> None:
    """From what is committed, without queueing for the write lock: the rush for a print outlasts its last copy."""
    free = Copy.objects.filter(free_to_take(), edition=OuterRef("pk"))
    sold_out = Edition.objects.filter(~Exists(free), show=show, code__in=codes).select_related("show")
    for edition in sold_out:
        if is_on_offer(edition, now=now):  # where it is not, that is what is said, and not that no copy is left
            raise NotEnoughCopies(left=0, title=edition.title)


@transaction.atomic(durable=True)
def _place(draft: Draft, *, waiter: Waiter | None, now: datetime) -> Pledge:
    draft = _locked(draft, now=now)
    waited_for = _check_limits(draft)
    if waiter:
        waiter = check_offer(waiter, now=now)
    pledge, lines = draft.pledge, draft.lines
    insert(pledge)
    for line in lines:
        line.pledge = pledge
        insert(line)
    numbers = take_copies(
        pledge=pledge, waiter=waiter, now=now, lines=lines, editions=draft.editions, waited_for=waited_for
    )
    if waiter:
        _take_offer(waiter, pledge=pledge, now=now)
    outbox.write(draft.written(numbers))
    return pledge


def _locked(draft: Draft, *, now: datetime) -> Draft:
    """
    The draft with its editions locked before limits are checked: two orders of one person must see each other.

    Where what it was made on has been edited since, it is made once more on what there is now.
    """
    show, order = draft.ground.show, draft.order
    if draft.editions:
        is_same = lock_as_read(show, codes=order.copies_of) == draft.as_read
    else:
        is_same = show_as_read(show) == draft.ground.show_as_read
    if is_same:
        return draft
    key = draft.pledge.request_key
    return draft_order(read_ground(show), order=order, source=draft.source, request_key=key, now=now)


_LIVE = ", ".join(f"'{state}'" for state in Pledge.LIVE)
_STANDING = (
    "SELECT e.id, "  # noqa: S608 - our own words
    f"(SELECT COALESCE(SUM(l.copies), 0) FROM {PledgeLine._meta.db_table} l "
    f"JOIN {Pledge._meta.db_table} p ON p.id = l.pledge_id WHERE l.edition_id = e.id "
    f"AND UPPER(p.email) = UPPER(%s) AND p.state IN ({_LIVE})), "
    f"EXISTS (SELECT 1 FROM {Waiter._meta.db_table} w "
    f"WHERE w.edition_id = e.id AND w.state = '{Waiter.State.WAITING}') "
    f"FROM {Edition._meta.db_table} e WHERE e.id IN "
)


def _check_limits(draft: Draft) -> frozenset[int]:
    """The keys of the editions that somebody waits for. Raises: OverLimit."""
    keys, wanted = list(draft.editions), draft.order.copies_of
    if not keys:
        return frozenset()
    with connection.cursor() as cursor:
        cursor.execute(f"{_STANDING} ({', '.join(['%s'] * len(keys))})", [draft.order.email, *keys])
        found = {key: (int(already), is_waited_for) for key, already, is_waited_for in cursor.fetchall()}
    for key, edition in draft.editions.items():
        already, _ = found[key]
        if already + wanted[edition.code] > edition.limit_per_person:
            raise OverLimit(limit=edition.limit_per_person, already=already, title=edition.title)
    return frozenset(key for key, (_, is_waited_for) in found.items() if is_waited_for)


def _take_offer(waiter: Waiter, *, pledge: Pledge, now: datetime) -> None:
    end_place(waiter, state=Waiter.State.TAKEN, pledge=pledge, now=now)
    for edition in lock_editions([waiter.edition_id]).values():
        offer_copies(edition, now=now)


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
