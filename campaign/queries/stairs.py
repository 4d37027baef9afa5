"""The staircase as the studio draws it: levels, money now and if all is paid, landing places that could be levels."""

from dataclasses import dataclass

from campaign.drawing.staircase import LETTERS, DrawnStaircase, draw_staircase
from campaign.drawing.thermometer import Mark
from campaign.models import Show
from campaign.planning import Plan
from campaign.planning.explaining.landings import Landing, find_landings, write_promise
from campaign.queries.standing import Standing


@dataclass(frozen=True, slots=True)
class LandingRow:
    """A landing place with its letter in the drawing, and whether a level stands there already."""

    letter: str
    landing: Landing
    is_level: bool


@dataclass(frozen=True, slots=True)
class StairsPicture:
    """The drawing and what its letters mean."""

    drawn: DrawnStaircase
    landings: tuple[LandingRow, ...]


def draw_stairs(standing: Standing) -> StairsPicture | None:
    """The picture of a standing; None before the first staircase. No query."""
    if standing.staircase is None:
        return None
    landings = find_landings(standing.staircase) if standing.show.closed_at is None else ()
    taken = {one.level.money_minor for one in standing.levels}
    return StairsPicture(
        drawn=draw_staircase(
            standing.staircase,
            in_hand_minor=standing.in_hand_minor,
            if_paid_minor=standing.if_paid_minor,
            levels=level_marks(standing),
            landings=landings,
        ),
        landings=tuple(
            LandingRow(letter, landing, landing.money_minor in taken)
            for letter, landing in zip(LETTERS, landings, strict=False)
        ),
    )


def level_marks(standing: Standing) -> list[Mark]:
    """The levels as marks of a drawing."""
    return [Mark(one.level.name, one.level.money_minor, one.is_reached) for one in standing.levels]


def promise_of(show: Show, *, plan: Plan) -> str:
    """A plan in the words of a promise. One query."""
    return write_promise(plan, finish_names=dict(show.finishes.values_list("code", "name")))
