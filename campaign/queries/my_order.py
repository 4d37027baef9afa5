"""One order as its backer may see it."""

from dataclasses import dataclass
from datetime import datetime

from campaign.models import Pledge, Show, Studio
from campaign.queries.money import received_for
from campaign.queries.order_lines import OrderLines, read_order_lines

State = Pledge.State


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

    @property
    def missing_minor(self) -> int:
        """What is still to be paid; nothing once the order has ended."""
        return max(0, self.pledge.total_minor - self.received_minor) if self.is_live else 0

    @property
    def owed_back_minor(self) -> int:
        """What was paid for an order that has ended, or beyond its sum."""
        return max(0, self.received_minor - (self.pledge.total_minor if self.is_live else 0))


def read_my_order(pledge: Pledge, *, now: datetime) -> MyOrder:
    """From four queries: studio, lines, copies, cash book. The services check again what can be done."""
    show = pledge.show
    is_live = pledge.state in (State.HELD, State.PAID)
    return MyOrder(
        pledge=pledge,
        studio=Studio.objects.get(pk=1),
        order=read_order_lines(pledge),
        received_minor=received_for(pledge),
        is_live=is_live,
        can_change_address=is_live and pledge.copies > 0 and show.state != Show.State.PRINTED,
        can_cancel=is_live and now.astimezone(show.zone).date() <= show.cancel_until_on,
    )
