"""One order as its backer may see it."""

from dataclasses import dataclass
from datetime import date, datetime

from campaign.models import ChangeRequest, Pledge, Show, Studio
from campaign.queries.destinations import print_of_destinations
from campaign.queries.money import received_for
from campaign.queries.order_lines import OrderLines, read_order_lines


@dataclass(frozen=True, slots=True)
class MyOrder:
    """An order, what came in for it, and what its backer can still do."""

    pledge: Pledge
    studio: Studio
    order: OrderLines
    received_minor: int
    is_live: bool
    can_change_address: bool
    can_cancel: bool
    can_ask: bool
    requests: tuple[ChangeRequest, ...]
    answer_by_on: date | None = None  # while that day is not over
    seen: str = ""  # the print of the addresses to be confirmed; empty where nothing is asked

    @property
    def missing_minor(self) -> int:
        """What is still to be paid; nothing once the order has ended."""
        return max(0, self.pledge.total_minor - self.received_minor) if self.is_live else 0

    @property
    def owed_back_minor(self) -> int:
        """What was paid for an order that has ended, or beyond its sum."""
        return max(0, self.received_minor - (self.pledge.total_minor if self.is_live else 0))


def read_my_order(pledge: Pledge, *, now: datetime) -> MyOrder:
    """From five queries: studio, lines, copies, cash book, requests. The services check again what can be done."""
    return MyOrder(
        pledge=pledge,
        studio=Studio.objects.get(pk=1),
        order=read_order_lines(pledge),
        received_minor=received_for(pledge),
        is_live=pledge.is_live,
        can_change_address=may_change_address(pledge),
        can_cancel=may_cancel(pledge, now=now),
        can_ask=may_ask(pledge, now=now),
        requests=tuple(pledge.change_requests.all()),
        answer_by_on=_answer_by_on(pledge, now=now),
        seen=print_of_destinations(pledge) if is_asked_for_address(pledge) else "",
    )


def may_change_address(pledge: Pledge) -> bool:
    """The backer may still say by themselves where it goes."""
    return pledge.is_live and pledge.copies > 0 and pledge.show.state != Show.State.PRINTED


def is_asked_for_address(pledge: Pledge) -> bool:
    """Asked, not answered, and still in time."""
    return pledge.address_asked_at is not None and not pledge.address_confirmed_at and may_change_address(pledge)


def _answer_by_on(pledge: Pledge, *, now: datetime) -> date | None:
    until_on = pledge.show.addresses_until_on
    return until_on if until_on and now.astimezone(pledge.show.zone).date() <= until_on else None


def may_cancel(pledge: Pledge, *, now: datetime) -> bool:
    """The backer may still cancel by themselves."""
    return pledge.is_live and now.astimezone(pledge.show.zone).date() <= pledge.show.cancel_until_on


def may_ask(pledge: Pledge, *, now: datetime) -> bool:
    """The order lives, and something about it can no longer be changed by the backer alone: they may ask the artist."""
    does_all = may_cancel(pledge, now=now) and (pledge.copies == 0 or may_change_address(pledge))
    return pledge.is_live and not does_all
