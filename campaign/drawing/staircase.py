"""The staircase as a drawing: money to the right, worth upwards; what is reached firm, what is not in pencil."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from campaign.drawing.thermometer import Mark
from campaign.planning.results import Staircase

WIDTH, HEIGHT = 1_000, 420
LEFT, RIGHT, TOP, FOOT = 16, 984, 96, 372
LABEL_UNITS_PER_LETTER = 8
LABEL_ROWS = 3
LEAST_LABEL_GAP = 34
MOST_TICKS = 6
NAME_LENGTH = 24


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
    """A level as an upright line; its name stands at `label_y`, to the left of the line where `is_left`."""

    x: int
    label_x: int
    label_y: int
    is_left: bool
    name: str
    is_reached: bool


@dataclass(frozen=True, slots=True)
class DrawnStaircase:
    """Paths in the drawing's own units, y downwards; `here_x` and `here_y` are the money in hand."""

    width: int
    height: int
    left: int
    right: int
    top: int
    foot: int
    firm: str
    pencil: str
    here_x: int
    here_y: int
    ticks: tuple[Tick, ...]
    labels: tuple[StairLabel, ...]
    levels: tuple[LevelLine, ...]


def draw_staircase(staircase: Staircase, *, in_hand_minor: int, levels: Sequence[Mark]) -> DrawnStaircase:
    """
    Draw all steps of a staircase.

    Parameters: in_hand_minor, wall money, drawn at 0 if below and at the right edge if beyond the last step;
        levels, in any order.
    Returns: integer coordinates; money and worth are to scale from zero.
    """
    highest = max([staircase.steps[-1].money_minor, *(level.money_minor for level in levels), 1])
    top_minor = highest + highest // 16 + 1
    top_worth = max(staircase.steps[-1].worth, 1)

    def x_of(minor: int) -> int:
        return LEFT + min(max(minor, 0), top_minor) * (RIGHT - LEFT) // top_minor

    def y_of(worth: int) -> int:
        return FOOT - worth * (FOOT - TOP) // top_worth

    here = staircase.index_at(in_hand_minor)
    here_x, here_y = x_of(in_hand_minor), y_of(staircase.steps[here].worth)
    corners = [(x_of(step.money_minor), y_of(step.worth)) for step in staircase.steps]
    return DrawnStaircase(
        width=WIDTH, height=HEIGHT, left=LEFT, right=RIGHT, top=TOP, foot=FOOT,
        firm=_stairs(corners[: here + 1], end_x=here_x),
        pencil=_stairs([(here_x, here_y), *corners[here + 1 :]], end_x=RIGHT),
        here_x=here_x,
        here_y=here_y,
        ticks=tuple(Tick(x_of(minor), minor) for minor in range(0, top_minor + 1, _tick_step(top_minor))),
        labels=_labels(staircase, corners=corners),
        levels=_levels(sorted(levels, key=lambda level: level.money_minor), x_of=x_of),
    )  # fmt: skip


def _stairs(corners: Sequence[tuple[int, int]], *, end_x: int) -> str:
    """An SVG path: level to each next corner, then straight up, level to the end."""
    x, y = corners[0]
    return f"M{x} {y}" + "".join(f"H{x}V{y}" for x, y in corners[1:]) + f"H{end_x}"


def _labels(staircase: Staircase, *, corners: Sequence[tuple[int, int]]) -> tuple[StairLabel, ...]:
    labels: list[StairLabel] = []
    shown = 0
    for step, (x, y) in zip(staircase.steps, corners, strict=True):
        works = sum(index >= 0 for index in step.choice)
        if works > shown and (not labels or x - labels[-1].x >= LEAST_LABEL_GAP):
            labels.append(StairLabel(x=x - 8, y=y - 4, works=works))
            shown = works
    return tuple(labels)


def _levels(levels: Sequence[Mark], *, x_of: Callable[[int], int]) -> tuple[LevelLine, ...]:
    ends = [-LEFT] * LABEL_ROWS  # where the last label of each row ends
    lines: list[LevelLine] = []
    for level in levels:
        x = x_of(level.money_minor)
        name = level.name if len(level.name) <= NAME_LENGTH else f"{level.name[: NAME_LENGTH - 1].rstrip()}…"
        wide = len(name) * LABEL_UNITS_PER_LETTER + 6
        is_left = x + wide > WIDTH
        start = x - wide if is_left else x
        row = next((row for row, end in enumerate(ends) if end < start), LABEL_ROWS - 1)
        ends[row] = max(ends[row], start + wide)
        lines.append(
            LevelLine(
                x=x, label_x=x - 6 if is_left else x + 6, label_y=20 + 22 * row, is_left=is_left, name=name,
                is_reached=level.is_reached,
            )
        )  # fmt: skip
    return tuple(lines)


def _tick_step(top_minor: int) -> int:
    """The smallest of 1, 2, 5, 10, 20, … that gives no more than MOST_TICKS ticks beyond zero."""
    step = 1
    while True:
        for factor in (1, 2, 5):
            if top_minor // (step * factor) <= MOST_TICKS:
                return step * factor
        step *= 10
