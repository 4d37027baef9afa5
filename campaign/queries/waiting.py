"""The waiting list: one place as its owner sees it, the terms of an offer, and the whole list for the studio."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.db.models import Count, Q, Sum

from campaign.models import Copy, Edition, Show, Waiter
from campaign.queries.order_terms import EditionTerms, OrderTerms, is_open, read_print_terms

State = Waiter.State


@dataclass(frozen=True, slots=True)
class Place:
    """
    A place in the line at a moment: who is before it and what may still come back.

    `held` are copies of orders that wait for their payment, `on_offer` those that are offered to somebody who waited;
    `kept` are the copies offered to this place, while the offer stands.
    """

    waiter: Waiter
    people_before: int
    copies_before: int
    held: int
    on_offer: int
    kept: int
    is_on_offer: bool
    can_ask_again: bool

    @property
    def number(self) -> int:
        """Its number in the line, from 1."""
        return self.people_before + 1

    @property
    def may_come_back(self) -> int:
        """Copies that are neither paid nor free: the most that can come back without somebody cancelling."""
        return self.held + self.on_offer


def read_place(waiter: Waiter, *, now: datetime) -> Place:
    """The place of `waiter` as it is at `now`, from four queries at most."""
    edition, show = waiter.edition, waiter.edition.show
    before = Waiter.objects.filter(edition=edition, state=State.WAITING, pk__lt=waiter.pk)
    people = before.aggregate(people=Count("pk"), copies=Sum("copies", default=0))
    copies = edition.copies.aggregate(
        held=Count("pk", filter=Q(state=Copy.State.HELD)),
        on_offer=Count("pk", filter=Q(state=Copy.State.OFFERED)),
        kept=Count("pk", filter=Q(waiter=waiter)),
    )
    is_sold = is_open(show, now=now) and edition.is_sold_at(now)
    until = waiter.offer_until_at
    is_kept = is_sold and waiter.state == State.OFFERED and until is not None and now < until
    return Place(
        waiter=waiter,
        people_before=people["people"],
        copies_before=people["copies"],
        held=copies["held"],
        on_offer=copies["on_offer"],
        kept=copies["kept"] if is_kept else 0,
        is_on_offer=is_sold,
        can_ask_again=is_sold and waiter.state in (State.LAPSED, State.LEFT),
    )


def read_offer_terms(place: Place, *, country: str, friend_country: str, now: datetime) -> OrderTerms:
    """The order form's terms for what is kept for a place: that edition alone, that many copies at most."""
    edition = place.waiter.edition
    terms = read_print_terms(
        show=edition.show, edition_code=edition.code, country=country, friend_country=friend_country, now=now
    )
    kept = EditionTerms(edition=edition, copies_free=place.kept, most=place.kept, is_later=False, is_over=False)
    return replace(terms, editions=(kept,), chosen=edition.code)


@dataclass(frozen=True, slots=True)
class WaitingLine:
    """Somebody in the studio's list; `number` in the line of their print, None once they are out of it."""

    waiter: Waiter
    number: int | None
    kept: int


@dataclass(frozen=True, slots=True)
class WaitingEdition:
    """One print of the studio's list: who waits and who has an offer, and what became of the others."""

    edition: Edition
    lines: tuple[WaitingLine, ...]
    ended: tuple[Waiter, ...]

    @property
    def waiting(self) -> int:
        """People in the line."""
        return sum(line.number is not None for line in self.lines)

    @property
    def copies_wanted(self) -> int:
        """Copies they wait for."""
        return sum(line.waiter.copies for line in self.lines if line.number is not None)

    @property
    def on_offer(self) -> int:
        """Copies that are kept for people with an offer."""
        return sum(line.kept for line in self.lines)

    @property
    def taken(self) -> int:
        """Places that became an order."""
        return sum(waiter.state == State.TAKEN for waiter in self.ended)


def read_waiting_list(show: Show) -> tuple[WaitingEdition, ...]:
    """The prints of `show` that anybody has ever waited for, with all their places. Two queries."""
    waiters = Waiter.objects.filter(edition__show=show).select_related("edition", "pledge")
    found = list(waiters.annotate(kept=Count("offered_copies")).order_by("edition__position", "edition", "pk"))
    editions = {waiter.edition_id: waiter.edition for waiter in found}
    return tuple(
        _edition(edition, waiters=[waiter for waiter in found if waiter.edition_id == pk])
        for pk, edition in editions.items()
    )


def _edition(edition: Edition, *, waiters: Sequence[Waiter]) -> WaitingEdition:
    offered = [waiter for waiter in waiters if waiter.state == State.OFFERED]
    waiting = [waiter for waiter in waiters if waiter.state == State.WAITING]
    lines = [WaitingLine(waiter, None, waiter.kept) for waiter in offered]  # type: ignore[attr-defined]  # annotated
    lines += [WaitingLine(waiter, number, 0) for number, waiter in enumerate(waiting, start=1)]
    ended = [waiter for waiter in waiters if waiter.state not in Waiter.LIVE]
    ended.sort(key=lambda waiter: (waiter.ended_at or waiter.asked_at, waiter.pk), reverse=True)
    return WaitingEdition(edition=edition, lines=tuple(lines), ended=tuple(ended))


def count_line(edition: Edition) -> tuple[int, int]:
    """People in the line of an edition, and the copies they ask for. One query."""
    found = Waiter.objects.filter(edition=edition, state=State.WAITING).aggregate(
        people=Count("pk"), copies=Sum("copies", default=0)
    )
    return found["people"], found["copies"]


def count_waiting(show: Show) -> tuple[int, int]:
    """People who wait or have an offer, and the copies they ask for, over all prints of `show`. One query."""
    live = Waiter.objects.filter(edition__show=show, state__in=Waiter.LIVE)
    found = live.aggregate(people=Count("pk"), copies=Sum("copies", default=0))
    return found["people"], found["copies"]


def list_live_places(show: Show, *, email: str) -> list[Waiter]:
    """The places of an address in the lists of `show`, the newest first."""
    live = Waiter.objects.filter(edition__show=show, email__iexact=email, state__in=Waiter.LIVE)
    return list(live.select_related("edition__show").order_by("-pk"))
