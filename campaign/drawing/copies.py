"""Wall money against copies sold, as a drawing: copies to the right, money upwards, levels as lines across."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from campaign.drawing.thermometer import Mark

WIDTH, HEIGHT = 1_000, 440
LEFT, RIGHT, TOP, FOOT = 16, 984, 40, 388
MOST_POINTS = 160
MOST_TICKS = 8
LEAST_LABEL_GAP = 24
# A level far beyond all copies would press everything else to the floor: it stands in the table alone.
HIGHEST_LEVEL_PERCENT = 150


@dataclass(frozen=True, slots=True)
class CopyTick:
    """A number of copies on the axis."""

    x: int
    copies: int


@dataclass(frozen=True, slots=True)
class LevelAcross:
    """
    A level as a line across; `cross_x` is where the firm line meets it, None if it never does.

    Its name stands above it, at the end where the firm line is not: `is_right` where the two meet in the left half.
    """

    y: int
    label_x: int
    label_y: int
    is_right: bool
    name: str
    money_minor: int
    cross_x: int | None


@dataclass(frozen=True, slots=True)
class DrawnCopies:
    """Paths in the drawing's own units, y downwards; `here_x` and `here_y` are the copies sold."""

    width: int
    height: int
    left: int
    right: int
    floor: int
    firm: str
    pencil: str
    end_y: int
    here_x: int
    here_y: int
    ticks: tuple[CopyTick, ...]
    levels: tuple[LevelAcross, ...]


def draw_copies(firm: Sequence[int], *, pencil: Sequence[int], sold: int, levels: Sequence[Mark]) -> DrawnCopies:
    """
    Draw what 0, 1, 2, … copies make.

    Parameters: firm and pencil, wall money by number of copies, equally long, at least one each; sold, copies sold so
        far; levels in any order, those far above all copies are left out.
    Returns: integer coordinates, to scale; the floor is at no money, or lower where money is below nothing.
    """
    copies = max(len(firm) - 1, 1)
    all_of_them = [*firm, *pencil, 0]
    shown = [mark for mark in levels if mark.money_minor * 100 <= max(all_of_them) * HIGHEST_LEVEL_PERCENT]
    top = max([*all_of_them, *(mark.money_minor for mark in shown), 1])
    low = min(all_of_them)

    def x_of(number: int) -> int:
        return LEFT + number * (RIGHT - LEFT) // copies

    def y_of(minor: int) -> int:
        return FOOT - (minor - low) * (FOOT - TOP) // (top - low)

    here = min(sold, len(firm) - 1)
    return DrawnCopies(
        width=WIDTH, height=HEIGHT, left=LEFT, right=RIGHT, floor=y_of(0),
        firm=_line(firm, x_of=x_of, y_of=y_of),
        pencil=_line(pencil, x_of=x_of, y_of=y_of),
        end_y=y_of(firm[-1]),
        here_x=x_of(here),
        here_y=y_of(firm[here]),
        ticks=tuple(CopyTick(x_of(number), number) for number in range(0, copies + 1, _tick_step(copies))),
        levels=_levels(sorted(shown, key=lambda mark: mark.money_minor), firm=firm, x_of=x_of, y_of=y_of),
    )  # fmt: skip


def _line(money: Sequence[int], *, x_of: Callable[[int], int], y_of: Callable[[int], int]) -> str:
    """An SVG path through at most MOST_POINTS of the sums, the first and the last among them."""
    last = len(money) - 1
    step = max(1, -(-last // MOST_POINTS))
    numbers = [*range(0, last, step), last]
    return "M" + "L".join(f"{x_of(number)} {y_of(money[number])}" for number in numbers)


def _levels(
    levels: Sequence[Mark], *, firm: Sequence[int], x_of: Callable[[int], int], y_of: Callable[[int], int]
) -> tuple[LevelAcross, ...]:
    lines: list[LevelAcross] = []
    label_y = HEIGHT + LEAST_LABEL_GAP
    for mark in levels:
        y = y_of(mark.money_minor)
        label_y = min(y - 6, label_y - LEAST_LABEL_GAP)
        reached = next((number for number, money in enumerate(firm) if money >= mark.money_minor), None)
        cross_x = None if reached is None else x_of(reached)
        is_right = cross_x is not None and cross_x < (LEFT + RIGHT) // 2
        lines.append(
            LevelAcross(
                y=y, label_x=RIGHT if is_right else LEFT, label_y=label_y, is_right=is_right, name=mark.name,
                money_minor=mark.money_minor, cross_x=cross_x,
            )
        )  # fmt: skip
    return tuple(lines)


def _tick_step(copies: int) -> int:
    """The smallest of 1, 2, 5, 10, 20, … that gives no more than MOST_TICKS ticks beyond zero."""
    step = 1
    while True:
        for factor in (1, 2, 5):
            if copies // (step * factor) <= MOST_TICKS:
                return step * factor
        step *= 10
