"""Dimension lines along a wall: ticks, figures between them, and no figure on top of another."""

from collections.abc import Sequence
from dataclasses import dataclass

FONT_UNITS = 190
LETTER_UNITS = 112  # width of a figure, a little generous
LEVEL_UNITS = 215
MOST_LEVELS = 4
CLEAR_UNITS = 60
FAR_LEFT = -(10**6)
LINE_UNITS = 190  # from the wall, or from what is above, to the line


@dataclass(frozen=True, slots=True)
class Label:
    """Words at a place: x of their middle (or end, by the template), y of their base line."""

    x: int
    y: int
    text: str


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch to be measured: its ends in the drawing's units, and its figure; "" where only ticks are wanted."""

    start: int
    end: int
    text: str


@dataclass(frozen=True, slots=True)
class Leader:
    """A thin line from a dimension line to a figure that stands further off."""

    x: int
    from_y: int
    to_y: int


@dataclass(frozen=True, slots=True)
class Chain:
    """A dimension line at `y` with a tick at every edge, and the figures that found room."""

    y: int
    edges: tuple[int, ...]
    labels: tuple[Label, ...]
    leaders: tuple[Leader, ...]

    @property
    def start(self) -> int:
        """Where the line begins."""
        return self.edges[0]

    @property
    def end(self) -> int:
        """Where it ends."""
        return self.edges[-1]


def levels_of(spans: Sequence[Span]) -> tuple[int, ...]:
    """
    The level at which each figure stands, 0 next to the line; -1 for one with no room on any level.

    Spans come from left to right. A figure goes to the first level on which it keeps clear of the one before.
    """
    ends = [FAR_LEFT] * MOST_LEVELS
    levels = []
    for span in spans:
        middle, half = (span.start + span.end) // 2, len(span.text) * LETTER_UNITS // 2
        free = [level for level, end in enumerate(ends) if end + CLEAR_UNITS <= middle - half]
        if not span.text or not free:
            levels.append(-1)
            continue
        ends[free[0]] = middle + half
        levels.append(free[0])
    return tuple(levels)


def chain_height(spans: Sequence[Span]) -> int:
    """How much room a chain takes beside the wall."""
    return LINE_UNITS + LEVEL_UNITS * (max(levels_of(spans), default=-1) + 1) + CLEAR_UNITS


def draw_chain(spans: Sequence[Span], *, at: int, is_above: bool = False) -> Chain:
    """
    A chain below `at`, or above it: the line, its ticks, figures on the far side of the line.

    Parameters: spans, at least one, left to right, each beginning no earlier than the one before ends.
    """
    away = -1 if is_above else 1
    y = at + away * LINE_UNITS
    labels, leaders = [], []
    for span, level in zip(spans, levels_of(spans), strict=True):
        if level < 0:
            continue
        middle = (span.start + span.end) // 2
        # The base line of letters: below the line by their height, above it by a little.
        base = y + away * level * LEVEL_UNITS + (-60 if is_above else FONT_UNITS)
        labels.append(Label(middle, base, span.text))
        if level:
            leaders.append(Leader(middle, y, base + 30 if is_above else base - FONT_UNITS + 30))
    edges = sorted({edge for span in spans for edge in (span.start, span.end)})
    return Chain(y=y, edges=tuple(edges), labels=tuple(labels), leaders=tuple(leaders))
