"""The staircase as a drawing: money to the right, worth upwards; what is reached firm, what is not in pencil."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from campaign.drawing.thermometer import Mark, spread
from campaign.planning.explaining.landings import Landing, hung_count
from campaign.planning.results import Staircase

WIDTH, HEIGHT = 1_000, 480
LEFT, RIGHT, TOP, FOOT = 24, 976, 84, 424
GRAIN = 3  # units; about one pixel where the drawing is as wide as a phone
LEAST_LABEL_GAP = 66
LEAST_LEVEL_GAP = 44
MOST_TICKS = 5
LETTERS = "abcdefgh"


class Spot(NamedTuple):
    """A point of the drawing."""

    x: int
    y: int


@dataclass(frozen=True, slots=True)
class Tick:
    """A sum on the money axis."""

    x: int
    money_minor: int


@dataclass(frozen=True, slots=True)
class StairLabel:
    """How many works hang from this step on, where that number changes and there is room to say so."""

    x: int
    y: int
    works: int


@dataclass(frozen=True, slots=True)
class LevelLine:
    """A level as an upright line; `label_x` keeps the numbers of neighbours apart."""

    x: int
    label_x: int
    number: int
    name: str
    money_minor: int
    is_reached: bool


@dataclass(frozen=True, slots=True)
class LandingMark:
    """A landing place, named by a letter."""

    x: int
    y: int
    letter: str
    landing: Landing


@dataclass(frozen=True, slots=True)
class DrawnStaircase:
    """
    Paths in the drawing's own units, y downwards.

    `here` is the money in hand; `there` the money if all is paid, or the money on the other staircase, None where
    it would stand on `here`. Two staircases: `firm` is the first, `pencil` the second, each whole.
    """

    width: int
    height: int
    left: int
    right: int
    top: int
    foot: int
    firm: str
    pencil: str
    here: Spot
    there: Spot | None
    ticks: tuple[Tick, ...]
    labels: tuple[StairLabel, ...]
    levels: tuple[LevelLine, ...]
    landings: tuple[LandingMark, ...]


@dataclass(frozen=True, slots=True)
class _Scale:
    """From money and worth to the drawing's units."""

    top_minor: int
    top_worth: int

    def x_of(self, minor: int) -> int:
        return LEFT + min(max(minor, 0), self.top_minor) * (RIGHT - LEFT) // self.top_minor

    def y_of(self, worth: int) -> int:
        return FOOT - worth * (FOOT - TOP) // self.top_worth

    def spot(self, staircase: Staircase, *, minor: int) -> Spot:
        """Where a sum of money stands on a staircase."""
        return Spot(self.x_of(minor), self.y_of(staircase.at(minor).worth))

    def corners(self, staircase: Staircase) -> list[Spot]:
        return [Spot(self.x_of(step.money_minor), self.y_of(step.worth)) for step in staircase.steps]


def draw_staircase(
    staircase: Staircase,
    *,
    in_hand_minor: int,
    levels: Sequence[Mark],
    if_paid_minor: int | None = None,
    landings: Sequence[Landing] = (),
) -> DrawnStaircase:
    """
    Draw one staircase, firm up to the money in hand and in pencil from there on.

    Parameters: in_hand_minor, wall money, drawn at 0 if below and at the right edge if beyond the last step; levels,
        in any order; if_paid_minor, wall money if all is paid; landings, steps of this staircase.
    Returns: integer coordinates; money and worth are to scale from zero. Steps closer than GRAIN are drawn as one,
        never higher than they are.
    """
    scale = _scale([staircase], levels=levels)
    here = scale.spot(staircase, minor=in_hand_minor)
    there = scale.spot(staircase, minor=in_hand_minor if if_paid_minor is None else if_paid_minor)
    corners, reached = scale.corners(staircase), staircase.index_at(in_hand_minor) + 1
    return _drawn(
        scale,
        labelled=staircase,
        firm=_stairs(corners[:reached], end_x=here.x),
        pencil=_stairs([here, *corners[reached:]], end_x=RIGHT),
        here=here,
        there=there if there != here else None,
        levels=levels,
        landings=landings,
    )


def draw_two_staircases(
    now: Staircase, then: Staircase, *, now_minor: int, then_minor: int, levels: Sequence[Mark]
) -> DrawnStaircase:
    """Draw two staircases on one scale, the first firm, the second in pencil, each with its own money."""
    scale = _scale([now, then], levels=levels)
    here, there = scale.spot(now, minor=now_minor), scale.spot(then, minor=then_minor)
    return _drawn(
        scale,
        labelled=now,
        firm=_stairs(scale.corners(now), end_x=RIGHT),
        pencil=_stairs(scale.corners(then), end_x=RIGHT),
        here=here,
        there=there if there != here else None,
        levels=levels,
        landings=(),
    )


def _scale(staircases: Sequence[Staircase], *, levels: Sequence[Mark]) -> _Scale:
    tops = [staircase.steps[-1] for staircase in staircases]
    highest = max([1, *(step.money_minor for step in tops), *(level.money_minor for level in levels)])
    return _Scale(top_minor=highest + highest // 16 + 1, top_worth=max([1, *(step.worth for step in tops)]))


def _drawn(
    scale: _Scale, *, labelled: Staircase, firm: str, pencil: str, here: Spot, there: Spot | None,
    levels: Sequence[Mark], landings: Sequence[Landing],
) -> DrawnStaircase:  # fmt: skip
    step_minor = round_step(scale.top_minor, most=MOST_TICKS)
    return DrawnStaircase(
        width=WIDTH, height=HEIGHT, left=LEFT, right=RIGHT, top=TOP, foot=FOOT,
        firm=firm, pencil=pencil, here=here, there=there,
        ticks=tuple(Tick(scale.x_of(minor), minor) for minor in range(0, scale.top_minor + 1, step_minor)),
        labels=_labels(labelled, corners=scale.corners(labelled)),
        levels=_levels(sorted(levels, key=lambda level: level.money_minor), x_of=scale.x_of),
        landings=tuple(
            LandingMark(scale.x_of(one.money_minor), scale.y_of(one.worth), letter, one)
            for letter, one in zip(LETTERS, landings, strict=False)
        ),
    )  # fmt: skip


def _stairs(corners: Sequence[Spot], *, end_x: int) -> str:
    """An SVG path: level to each next corner, then straight up, level to the end; of corners too close the last."""
    x, y = corners[0]
    kept: list[Spot] = []
    for corner in corners[1:]:
        if kept and corner.x // GRAIN == kept[-1].x // GRAIN:
            kept[-1] = corner
        elif corner.y != (kept[-1].y if kept else y):
            kept.append(corner)
    return f"M{x} {y}" + "".join(f"H{corner.x}V{corner.y}" for corner in kept) + f"H{end_x}"


def _labels(staircase: Staircase, *, corners: Sequence[Spot]) -> tuple[StairLabel, ...]:
    labels: list[StairLabel] = []
    shown = 0
    for step, (x, y) in zip(staircase.steps, corners, strict=True):
        works = hung_count(step)
        if works > shown and (not labels or x - 8 - labels[-1].x >= LEAST_LABEL_GAP):
            labels.append(StairLabel(x=x - 8, y=y - 6, works=works))
            shown = works
    return tuple(labels)


def _levels(levels: Sequence[Mark], *, x_of: Callable[[int], int]) -> tuple[LevelLine, ...]:
    xs = [x_of(level.money_minor) for level in levels]
    label_xs = spread(xs, gap=LEAST_LEVEL_GAP, least=LEFT, most=RIGHT)
    return tuple(
        LevelLine(x, label_x, number, level.name, level.money_minor, level.is_reached)
        for number, (level, x, label_x) in enumerate(zip(levels, xs, label_xs, strict=True), start=1)
    )


def round_step(top_minor: int, *, most: int) -> int:
    """
    The smallest of 1, 2, 5, 10, 20, … that goes into `top_minor` at most `most` times.

    >>> [round_step(top, most=5) for top in (4, 12, 99_000)]
    [1, 5, 20000]
    """
    step = 1
    while True:
        for factor in (1, 2, 5):
            if top_minor // (step * factor) <= most:
                return step * factor
        step *= 10
