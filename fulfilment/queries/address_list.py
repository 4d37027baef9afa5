"""Where everything paid for goes: who has said that it is right, and which addresses to look at twice."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from campaign.addresses import doubts_about
from campaign.models import Pledge, Show
from campaign.queries.audience import list_returned
from campaign.queries.order_lines import Addressed, list_friends
from fulfilment.packing import recipient_key


@dataclass(frozen=True, slots=True)
class Destination:
    """One address of an order; `number` 0 is the backer's own, else the friend's as the order counts them."""

    pledge: Pledge
    number: int
    to: Addressed
    doubts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AddressList:
    """Where the paid orders go of which something is not posted; and how many of those orders have answered."""

    destinations: tuple[Destination, ...]
    orders: int
    asked: int
    confirmed: int
    to_ask: int

    @property
    def doubtful(self) -> tuple[Destination, ...]:
        """Those with a doubt."""
        return tuple(one for one in self.destinations if one.doubts)

    @property
    def silent(self) -> tuple[Destination, ...]:
        """Without a doubt, asked, not confirmed."""
        return tuple(
            one
            for one in self.destinations
            if not one.doubts and one.pledge.address_asked_at and not one.pledge.address_confirmed_at
        )


def read_address_list(show: Show) -> AddressList:
    """Three queries, whatever the number of orders."""
    paid = Pledge.objects.filter(show=show, state=Pledge.State.PAID, copies__gt=0, erased_at=None)
    unposted = paid.filter(held_copies__is_posted=False).distinct().order_by("pk")
    orders = list(unposted.prefetch_related("lines"))
    returned, places = list_returned(), _places_by_person(orders)
    found = tuple(
        Destination(order, number, to, tuple(_doubts(order, number, to, returned=returned, places=places)))
        for order in orders
        for number, to in _destinations(order)
    )
    return AddressList(
        destinations=found,
        orders=len(orders),
        asked=sum(order.address_asked_at is not None for order in orders),
        confirmed=sum(order.address_confirmed_at is not None for order in orders),
        to_ask=sum(not (order.address_asked_at or order.address_confirmed_at) for order in orders if order.email),
    )


def _destinations(order: Pledge) -> Iterator[tuple[int, Addressed]]:
    """The backer's own address where something goes there, then each friend's once."""
    lines = list(order.lines.all())
    if any(not (line.address or line.recipient_name) for line in lines):
        yield 0, Addressed(order.name, order.address)
    for friend in list_friends(lines):
        yield friend.number, Addressed(friend.name, friend.address or order.address)


def _places_by_person(orders: Sequence[Pledge]) -> Mapping[str, set[object]]:
    """The different addresses to which each backer's own prints go."""
    places: dict[str, set[object]] = defaultdict(set)
    for order in orders:
        for number, to in _destinations(order):
            if number == 0:
                places[order.email.casefold()].add(recipient_key(name="", email="", address=to.address.items()))
    return places


def _doubts(
    order: Pledge, number: int, to: Addressed, *, returned: set[str], places: Mapping[str, set[object]]
) -> Iterator[str]:
    yield from doubts_about(to.name, to.address)
    if number == 0 and len(places[order.email.casefold()]) > 1:
        yield "Another order of the same person goes to another address, so they travel apart."
    if order.email.casefold() in returned and order.address_confirmed_at is None:
        asked = ", so the question never arrived" if order.address_asked_at else ""
        yield f"Mail to this person comes back{asked}."
