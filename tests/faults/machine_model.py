"""What the machine of orders and money knows, for all its parts: one order, the clock's show, how often acts fired."""

import uuid
from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime
from typing import NamedTuple

from django.db.models import Sum
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine

from campaign.models import CashEntry, Copy, Pledge, Refund, Show, Waiter
from campaign.queries.prepared import Prepared

PICK = st.integers(0, 10_000)
WAYS = st.sampled_from(["transfer", "cheque", "cash"])
fired: Counter[str] = Counter()


@dataclass
class Known:
    """What the model knows of one order."""

    pledge: Pledge
    key: uuid.UUID
    total: int
    copies: Counter[str] = field(default_factory=Counter)
    state: str = "held"
    received: int = 0
    payments: list[tuple[str, int, str]] = field(default_factory=list)


class Line(NamedTuple):
    """What the cash book has on one pair of accounts for one order, or for none."""

    pledge: int | None
    debit: str
    credit: str
    sum_minor: int


class Seen(NamedTuple):
    """The rows of a copy, as after the last act."""

    edition: str
    state: str
    waiter: int | None
    is_printed: bool
    make_cost_minor: int


class Frozen(NamedTuple):
    """The state and the frozen sums of an order's row."""

    state: str
    prints_minor: int
    postage_minor: int
    gift_minor: int
    tax_added_minor: int
    set_aside_minor: int
    make_cost_minor: int
    pack_cost_minor: int
    postage_cost_minor: int

    @property
    def total_minor(self) -> int:
        """What the backer owes."""
        return self.prints_minor + self.postage_minor + self.gift_minor + self.tax_added_minor

    @property
    def costs_minor(self) -> int:
        """What is set aside of it, and what its copies cost to make, pack and post."""
        return self.set_aside_minor + self.make_cost_minor + self.pack_cost_minor + self.postage_cost_minor


class Place(NamedTuple):
    """The row of a place in a list, with the code of its edition."""

    pk: int
    edition: str
    state: str
    copies: int
    offered_at: datetime | None
    offer_until_at: datetime | None


# Asked after every act, so the statements are put together once: that takes longer than they run.
_PLEDGES = Prepared(lambda show: Pledge.objects.filter(show=show).order_by().values_list("pk", *Frozen._fields))
_BOOK = Prepared(
    lambda show: (
        CashEntry.objects.filter(show=show)
        .order_by()
        .values_list("pledge", "debit", "credit")
        .annotate(Sum("amount_minor"))
    )
)
_COPIES = Prepared(
    lambda show: (
        Copy.objects.filter(edition__show=show)
        .order_by("pk")
        .values_list("edition__code", "state", "waiter", "is_printed", "edition__make_cost_minor")
    )
)
_PLACES = Prepared(
    lambda show: (
        Waiter.objects.filter(edition__show=show)
        .order_by("pk")
        .values_list("pk", "edition__code", "state", "copies", "offered_at", "offer_until_at")
    )
)
_OWED = Prepared(lambda show: Refund.objects.filter(pledge__show=show, state="owed").order_by().values_list("pk"))


@dataclass(frozen=True, slots=True)
class Rows:
    """What is in the tables after an act: read once, for all that must be so and for what may be done next."""

    pledges: dict[int, Frozen] = field(default_factory=dict)
    book: tuple[Line, ...] = ()
    copies: tuple[Seen, ...] = ()
    waiters: tuple[Place, ...] = ()
    owed: bool = False

    def places(self, *states: str) -> bool:
        """Somebody's place in a list is in one of the states."""
        return any(waiter.state in states for waiter in self.waiters)


def read_waiters(show: Show) -> list[Waiter]:
    """Places in the lists, in the order of asking."""
    return list(Waiter.objects.filter(edition__show=show).select_related("edition__show").order_by("pk"))


def read_rows(show: Show) -> Rows:
    """Everything."""
    return Rows(
        pledges={pk: Frozen(*row) for pk, *row in _PLEDGES(show.pk)},
        book=tuple(Line(*row) for row in _BOOK(show.pk)),
        copies=tuple(Seen(*row) for row in _COPIES(show.pk)),
        waiters=tuple(Place(*row) for row in _PLACES(show.pk)),
        owed=bool(_OWED(show.pk)),
    )


class Model(RuleBasedStateMachine):
    """What every part of the machine may look at and change."""

    seen: Rows
    show: Show
    now: datetime
    is_open: bool
    orders: list[Known]
    entries: list[CashEntry]
    sizes: dict[str, int]
    bank_in: int
    other: int
    costs: int

    @property
    def takes_orders(self) -> bool:
        """The campaign takes orders at the machine's moment."""
        return self.is_open and self.now < self.show.closes_at

    def free(self, code: str) -> int:
        """Copies that no living order has; some may be kept for people who waited."""
        taken = sum(known.copies[code] for known in self.orders if known.state in ("held", "paid"))
        return self.sizes[code] - taken

    def some(self, pick: int, *states: str) -> Known | None:
        """An order in one of the states."""
        fitting = [known for known in self.orders if not states or known.state in states]
        return fitting[pick % len(fitting)] if fitting else None

    def time_passes(self, hours: int) -> None:
        """The clock moves, and the sweep does what is due."""
        raise NotImplementedError
