"""What a show folder says must be so, as frozen rows: own worths, pairs of works, closed days, deadlines."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class WorthRow:
    """The artist's own worth for one work in one size and finish."""

    work_code: str
    width_mm: int
    height_mm: int
    finish_code: str
    worth: int


@dataclass(frozen=True, slots=True)
class PairRow:
    """Two works that must not hang side by side ("apart") or must hang on one wall ("together")."""

    kind: str
    one_code: str
    other_code: str


@dataclass(frozen=True, slots=True)
class ClosedDayRow:
    """A day on which the artist does not work."""

    day_on: date
    note: str


@dataclass(frozen=True, slots=True)
class DeadlineRow:
    """A date by which something must be handed in. kind: grant, sponsor, other."""

    name: str
    on: date
    kind: str
    money_minor: int | None
    note: str
    is_done: bool
