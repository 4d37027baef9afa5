"""What the planning package answers with: plain frozen values, integers only, no behaviour beyond look-up."""

from bisect import bisect_right
from dataclasses import dataclass
from operator import attrgetter

_money_of = attrgetter("money_minor")


@dataclass(frozen=True, slots=True)
class CostLine:
    """One line of a cost: what it is, the sum in words, the rounded amount in minor units."""

    text: str
    arithmetic: str
    amount_minor: int


@dataclass(frozen=True, slots=True)
class Step:
    """
    One step of the staircase: the best show from `money_minor` up to the next step.

    `choice` holds one option index per work, -1 where the work does not hang. `bound_worth` is an upper
    bound on the best worth at every budget from this step to just below the next; equal to `worth` when proved.
    """

    money_minor: int
    worth: int
    choice: tuple[int, ...]
    bound_worth: int

    @property
    def proved(self) -> bool:
        """True when no show within the money of this step can be worth more."""
        return self.bound_worth == self.worth


@dataclass(frozen=True, slots=True)
class Staircase:
    """All best shows by money, cheapest first; money and worth both rise strictly from step to step."""

    steps: tuple[Step, ...]

    def index_at(self, money_minor: int) -> int:
        """Index of the step that `money_minor` reaches; 0 (nothing hangs) also for money below zero."""
        return max(bisect_right(self.steps, money_minor, key=_money_of) - 1, 0)

    def at(self, money_minor: int) -> Step:
        """The best show that `money_minor` buys."""
        return self.steps[self.index_at(money_minor)]

    def next_after(self, money_minor: int) -> Step | None:
        """The step after the one that `money_minor` reaches, None at the top."""
        index = self.index_at(money_minor) + 1
        return self.steps[index] if index < len(self.steps) else None


@dataclass(frozen=True, slots=True)
class Placement:
    """
    Where a work hangs: its lower left outer corner, from the wall's left edge and from the floor.

    `row` is 0 for the only or the upper row, 1 for the lower one.
    """

    work_code: str
    wall_code: str
    x_mm: int
    y_mm: int
    width_mm: int
    height_mm: int
    row: int = 0


@dataclass(frozen=True, slots=True)
class Purchase:
    """
    What a plan takes of one supply, in millionths of its unit, and what is bought for it.

    `packs` is how many of each pack offer, in the supply's order; `bought_micro` + `from_shelf_micro` cover
    `needed_micro`, what is over is `left_micro` (of the packs and of the shelf together).
    """

    supply_code: str
    needed_micro: int
    from_shelf_micro: int
    packs: tuple[int, ...]
    bought_micro: int
    left_micro: int
    cost_minor: int


@dataclass(frozen=True, slots=True)
class Charge:
    """What a finish costs beside its works: set-up, and what its works' own costs fall short of the least charge."""

    finish_code: str
    setup_minor: int
    shortfall_minor: int


@dataclass(frozen=True, slots=True)
class PlannedWork:
    """One work that hangs: in which size and finish, what it costs by itself, and where."""

    code: str
    title: str
    size_code: str
    finish_code: str
    cost_minor: int
    worth: int
    mass_g: int
    placement: Placement


@dataclass(frozen=True, slots=True)
class Plan:
    """
    The best show for `money_minor`, and what the next step of the staircase would bring.

    `cost_minor` = show cost + the works' own costs + `purchases` + `charges` (only those that are not nothing).

    `next_money_minor` is the whole sum at which the next step starts, None at the top; `next_adds` counts the
    works it hangs in addition; the three tuples name the works added, changed in size or finish, and taken down.
    """

    money_minor: int
    cost_minor: int
    worth: int
    proved: bool
    bound_worth: int
    works: tuple[PlannedWork, ...]
    next_money_minor: int | None
    next_adds: int | None
    next_added_codes: tuple[str, ...] = ()
    next_changed_codes: tuple[str, ...] = ()
    next_removed_codes: tuple[str, ...] = ()
    purchases: tuple[Purchase, ...] = ()
    charges: tuple[Charge, ...] = ()
