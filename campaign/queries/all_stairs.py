"""The page of the whole staircase: what is near the money and the levels first, all steps after it, folded by sums."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from campaign.drawing.staircase import round_step
from campaign.models import Show
from campaign.queries.stairs import StairRow, StairsPicture, draw_stairs, list_stairs
from campaign.queries.standing import Standing, read_standing

NEAR_BEFORE, NEAR_AFTER = 4, 6
MOST_FOLDS = 12


@dataclass(frozen=True, slots=True)
class Fold:
    """The steps from `from_minor` to just below `below_minor`, both round sums; at least one step."""

    from_minor: int
    below_minor: int
    rows: tuple[StairRow, ...]

    @property
    def has_here(self) -> bool:
        """Whether the money in hand stands on one of them."""
        return any(row.is_here for row in self.rows)

    @property
    def least_works(self) -> int:
        """Works on the step with the fewest."""
        return min(row.works for row in self.rows)

    @property
    def most_works(self) -> int:
        """Works on the step with the most."""
        return max(row.works for row in self.rows)


@dataclass(frozen=True, slots=True)
class AllStairs:
    """What the page shows; `picture` is None before the first staircase and while nothing could hang."""

    standing: Standing
    picture: StairsPicture | None
    near: tuple[StairRow, ...]
    folds: tuple[Fold, ...]
    steps: int


def read_all_stairs(show: Show) -> AllStairs:
    """The staircase of `show`, every step once in the folds. The queries of a standing."""
    standing = read_standing(show)
    rows = list_stairs(standing)
    return AllStairs(
        standing=standing, picture=draw_stairs(standing), near=near_rows(rows), folds=fold_rows(rows), steps=len(rows)
    )


def near_rows(rows: Sequence[StairRow]) -> tuple[StairRow, ...]:
    """The steps around the money in hand, those that a level buys, and the last one, in order."""
    here = next((number for number, row in enumerate(rows) if row.is_here), 0)
    chosen = set(range(max(0, here - NEAR_BEFORE), min(len(rows), here + NEAR_AFTER + 1)))
    chosen |= {number for number, row in enumerate(rows) if row.levels or number == len(rows) - 1}
    return tuple(rows[number] for number in sorted(chosen))


def fold_rows(rows: Sequence[StairRow]) -> tuple[Fold, ...]:
    """All steps in order, in at most MOST_FOLDS folds that begin at round sums; none for no step."""
    if not rows:
        return ()
    width_minor = round_step(rows[-1].money_minor, most=MOST_FOLDS - 1)
    return tuple(
        Fold(number * width_minor, (number + 1) * width_minor, tuple(members))
        for number, members in groupby(rows, key=lambda row: row.money_minor // width_minor)
    )
