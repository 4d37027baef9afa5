"""The tall scale beside the walls: wall money in hand solid, what open orders would add in pencil, levels as marks."""

from collections.abc import Sequence
from dataclasses import dataclass

LABEL_GAP = 38
MOST_TICKS = 12
NAME_LENGTH = 22


@dataclass(frozen=True, slots=True)
class Mark:
    """A sum on the scale that has a name."""

    name: str
    money_minor: int
    is_reached: bool


@dataclass(frozen=True, slots=True)
class DrawnMark:
    """A mark at height `y`, its label moved to `label_y` so that no two labels touch."""

    mark: Mark
    short_name: str
    y: int
    label_y: int


@dataclass(frozen=True, slots=True)
class Thermometer:
    """
    Heights in the drawing's own units, 0 at the top, `height` at the foot, where the scale begins with nothing.

    `solid_y` is the top of what is in hand, `pencil_y` of what would be there if every open order were paid (never
    below the solid). `here` is the label of the sum in hand.
    """

    height: int
    top_minor: int
    solid_y: int
    pencil_y: int
    ticks: tuple[int, ...]
    marks: tuple[DrawnMark, ...]
    here: DrawnMark

    @property
    def solid_height(self) -> int:
        """Height of the solid column."""
        return self.height - self.solid_y

    @property
    def pencil_height(self) -> int:
        """Height of the pencilled part above the solid one."""
        return self.solid_y - self.pencil_y


def draw_thermometer(
    *, in_hand_minor: int, if_paid_minor: int, marks: Sequence[Mark], here_name: str, height: int = 560
) -> Thermometer:
    """
    Lay out the thermometer.

    Parameters: sums in minor units, below zero drawn as nothing; marks in any order; here_name, the words at the top
        of the solid column; height > 0.
    Returns: integer heights. The scale ends at the highest of all sums, with a little air above.
    """
    highest = max([in_hand_minor, if_paid_minor, 1, *(mark.money_minor for mark in marks)])
    top_minor = highest + highest // 20 + 1

    def y_of(minor: int) -> int:
        return height - max(0, minor) * height // top_minor

    here = Mark(name=here_name, money_minor=in_hand_minor, is_reached=True)
    # Of two equal sums the level comes first, so that its label stands above the one of the money in hand.
    ordered = [*sorted(marks, key=lambda mark: -mark.money_minor), here]
    ordered.sort(key=lambda mark: y_of(mark.money_minor))
    label_ys = spread([y_of(mark.money_minor) for mark in ordered], gap=LABEL_GAP, least=12, most=height - 14)
    drawn = [
        DrawnMark(mark=mark, short_name=_short(mark.name), y=y_of(mark.money_minor), label_y=label_y)
        for mark, label_y in zip(ordered, label_ys, strict=True)
    ]
    step = _tick_step(top_minor)
    return Thermometer(
        height=height,
        top_minor=top_minor,
        solid_y=y_of(in_hand_minor),
        pencil_y=y_of(max(in_hand_minor, if_paid_minor)),
        ticks=tuple(y_of(minor) for minor in range(0, top_minor + 1, step)),
        marks=tuple(one for one in drawn if one.mark is not here),
        here=next(one for one in drawn if one.mark is here),
    )


def spread(wanted: Sequence[int], *, gap: int, least: int, most: int) -> list[int]:
    """
    Move labels apart: rising heights, `gap` between neighbours, as near to `wanted` (rising) as a sweep each way gets.

    Where all of them do not fit between `least` and `most` they begin above `least`.

    >>> spread([10, 12, 90], gap=20, least=0, most=100)
    [10, 30, 90]
    """
    placed: list[int] = []
    for height in wanted:
        placed.append(max([height, least, *(p + gap for p in placed[-1:])]))
    limit = most
    for index in range(len(placed) - 1, -1, -1):
        placed[index] = min(placed[index], limit)
        limit = placed[index] - gap
    return placed


def _tick_step(top_minor: int) -> int:
    """The smallest of 1, 2, 5, 10, 20, … that gives no more than MOST_TICKS ticks."""
    step = 1
    while True:
        for factor in (1, 2, 5):
            if top_minor // (step * factor) <= MOST_TICKS:
                return step * factor
        step *= 10


def _short(name: str) -> str:
    return name if len(name) <= NAME_LENGTH else f"{name[: NAME_LENGTH - 1].rstrip()}…"
