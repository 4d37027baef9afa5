"""The staircase as the studio draws it: levels, money now and if all is paid, landing places that could be levels."""

from dataclasses import dataclass

from campaign.drawing.staircase import LETTERS, DrawnStaircase, draw_staircase
from campaign.drawing.thermometer import Mark
from campaign.models import Show
from campaign.planning import Plan
from campaign.planning.explaining.landings import Landing, find_landings, hung_count, write_promise
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


@dataclass(frozen=True, slots=True)
class StairRow:
    """One step of the staircase in figures; `levels` are the names of the levels that buy just this show."""

    money_minor: int
    works: int
    worth: int
    is_here: bool
    is_reached: bool
    levels: tuple[str, ...] = ()


def list_stairs(standing: Standing) -> tuple[StairRow, ...]:
    """Every step of the staircase in figures; none before the first staircase. No query."""
    staircase = standing.staircase
    if staircase is None:
        return ()
    here = staircase.index_at(standing.in_hand_minor)
    levels: dict[int, list[str]] = {}
    for one in sorted(standing.levels, key=lambda one: one.level.money_minor):
        levels.setdefault(staircase.index_at(one.level.money_minor), []).append(one.level.name)
    return tuple(
        StairRow(
            money_minor=step.money_minor,
            works=hung_count(step),
            worth=step.worth,
            is_here=number == here,
            is_reached=number <= here,
            levels=tuple(levels.get(number, ())),
        )
        for number, step in enumerate(staircase.steps)
    )


def draw_stairs(standing: Standing) -> StairsPicture | None:
    """The picture of a standing; None before the first staircase, and where no sum buys anything. No query."""
    if standing.staircase is None or standing.staircase.steps[-1].worth == 0:
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
