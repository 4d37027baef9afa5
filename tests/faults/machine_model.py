"""What the machine of orders and money knows, for all its parts: one order, the clock's show, how often acts fired."""

import uuid
from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime

from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine

from campaign.models import CashEntry, Pledge, Show

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


class Model(RuleBasedStateMachine):
    """What every part of the machine may look at and change."""

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
