"""Geometry of the course: money over the days of the campaign with the levels as marks and the band at its end."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from campaign.planning.watching.course import CourseDay

WIDTH, HEIGHT, LEFT, TOP, BOTTOM, RIGHT = 480, 240, 2, 10, 30, 84
DAY_WIDTH, LINE_HEIGHT = 60, 16  # of a day, of a sum; nearer than that two would run into each other


@dataclass(frozen=True, slots=True)
class CourseMark:
    """A level's line: its name and money, how high it stands, and how high the sum beside it."""

    name: str
    money_minor: int
    y: int
    words_y: int


@dataclass(frozen=True, slots=True)
class CourseFigure:
    """
    Points of two step lines in a box of 480 × 240 units, and what stands around them.

    `pledged` and `received` are SVG point lists; `band` is (top, height) of the forecast at the right edge, or None.
    """

    pledged: str
    received: str
    marks: tuple[CourseMark, ...]
    ticks: tuple[tuple[int, date], ...]
    now_x: int
    left: int
    right: int
    floor: int
    band: tuple[int, int] | None


def draw_course(
    days: Sequence[CourseDay], *, last_on: date, levels: Sequence[tuple[str, int]], band: tuple[int, int] | None
) -> CourseFigure | None:
    """
    The figure of a course that began with `days[0]` and ends on `last_on`; None before the first day.

    `levels` are (name, money) in minor units, `band` the low and high closing total.
    """
    if not days:
        return None
    first_on = days[0].on
    span = max(1, (last_on - first_on).days)
    top_minor: int = max(
        [
            1,
            *(day.pledged_minor for day in days),
            *(day.received_minor for day in days),
            *(money for _, money in levels),
            *(band or ()),
        ]
    )
    floor, right = HEIGHT - BOTTOM, WIDTH - RIGHT

    def x_of(on: date) -> int:
        return LEFT + round((right - LEFT) * min(span, (on - first_on).days) / span)

    def y_of(minor: int) -> int:
        return floor - (floor - TOP) * max(0, minor) * 100 // (top_minor * 105)

    return CourseFigure(
        pledged=_steps([(x_of(day.on), y_of(day.pledged_minor)) for day in days]),
        received=_steps([(x_of(day.on), y_of(day.received_minor)) for day in days]),
        marks=_marks([(name, money, y_of(money)) for name, money in levels]),
        ticks=_ticks([(x_of(on), on) for on in dict.fromkeys((first_on, days[-1].on, last_on))]),
        now_x=x_of(days[-1].on),
        left=LEFT,
        right=right,
        floor=floor,
        band=(y_of(band[1]), max(2, y_of(band[0]) - y_of(band[1]))) if band else None,
    )


def _marks(levels: Sequence[tuple[str, int, int]]) -> tuple[CourseMark, ...]:
    """
    The lines, low ones first; sums that would run into each other are moved apart.

    Parameters: levels, name, money and height of each.
    """
    ordered = sorted(levels, key=lambda level: level[1])
    heights = [y for _, _, y in ordered]
    for at in range(1, len(heights)):
        heights[at] = min(heights[at], heights[at - 1] - LINE_HEIGHT)
    heights[-1:] = [max(TOP, y) for y in heights[-1:]]
    for at in reversed(range(len(heights) - 1)):
        heights[at] = max(heights[at], heights[at + 1] + LINE_HEIGHT)
    return tuple(CourseMark(*level, words_y) for level, words_y in zip(ordered, heights, strict=True))


def _ticks(days: Sequence[tuple[int, date]]) -> tuple[tuple[int, date], ...]:
    """First and last day, and the one between them where there is room for it."""
    (first, _), (last, _) = days[0], days[-1]
    room = range(first + DAY_WIDTH * 3 // 2, last - DAY_WIDTH * 3 // 2)
    return tuple(day for number, day in enumerate(days) if number in (0, len(days) - 1) or day[0] in room)


def _steps(points: Sequence[tuple[int, int]]) -> str:
    """A line that stays level through a day and moves at its end."""
    out = [points[0]]
    for (_, before), (x, y) in pairwise(points):
        out += [(x, before), (x, y)]
    return " ".join(f"{x},{y}" for x, y in out)
