"""The schedule as a drawing: days to the right to scale, a line of its own for each item, days off hatched."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise
from typing import NamedTuple

from campaign.measures.workdays import is_workday
from campaign.planning.days.schedule import Schedule, ScheduleItem

WIDTH, LEFT, RIGHT = 1_000, 6, 994
TOP, ROW, BAR = 46, 46, 13
BAR_BELOW_TEXT = 9
LABEL_UNITS_PER_LETTER = 7
LABEL_RISE, LABEL_SINK, LABEL_GAP = 15, 5, 6
LEAST_WEEK_UNITS = 62
LABEL_UNITS = 48
NAME_LENGTH = 40
SHOWN_BEFORE_TODAY = timedelta(days=7)
SHOWN_AFTER = timedelta(days=4)
MOST_BEYOND = timedelta(days=28)
WEEK = timedelta(days=7)
ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class DayMark:
    """A date set by others."""

    on: date
    name: str
    is_past: bool


@dataclass(frozen=True, slots=True)
class Band:
    """Days off that follow each other."""

    x: int
    width: int


@dataclass(frozen=True, slots=True)
class WeekTick:
    """The Monday that a week begins with."""

    x: int
    on: date


@dataclass(frozen=True, slots=True)
class DrawnItem:
    """
    One line: its label stands at `label_x`, `label_y`, or ends there where `label_ends`; it is about `label_width`
    wide, and `label_covers` the line that it stands on. The bar below runs from `x`, `width` wide, 0 for a moment.

    `spare_x` to `limit_x` is the float, or what is too late where `is_late`; `limit_x` None: the limit is beyond the
    drawing.
    """

    name: str
    note: str
    x: int
    width: int
    spare_x: int
    spare_end_x: int
    limit_x: int | None = None
    is_critical: bool = False
    is_done: bool = False
    is_late: bool = False
    is_deadline: bool = False
    y: int = 0
    label_x: int = 0
    label_y: int = 0
    label_width: int = 0
    label_ends: bool = False
    label_covers: bool = False

    @property
    def label_top_y(self) -> int:
        """Upper edge of the room for the label, LABEL_RISE + LABEL_SINK high."""
        return self.label_y - LABEL_RISE

    @property
    def label_left_x(self) -> int:
        """Left end of the room for the label."""
        return self.label_x - self.label_width if self.label_ends else self.label_x

    @property
    def spare_width(self) -> int:
        """Length of the float, or of what is too late."""
        return self.spare_end_x - self.spare_x

    @property
    def middle_y(self) -> int:
        """Half way down the bar."""
        return self.y + BAR // 2

    @property
    def limit_y(self) -> int:
        """Where the mark of the limit begins, a little above the bar."""
        return self.y - 3

    @property
    def limit_end_y(self) -> int:
        """Where the mark of the limit ends."""
        return self.y + BAR + 3

    @property
    def diamond(self) -> str:
        """The path of a moment."""
        half = BAR // 2 + 2
        return f"M{self.x} {self.middle_y - half}l{half} {half}l-{half} {half}l-{half} -{half}z"


@dataclass(frozen=True, slots=True)
class DrawnSchedule:
    """The figure in its own units, y downwards; `path` joins the items that decide, `today_x` is None beyond it."""

    width: int
    height: int
    top: int
    foot: int
    bar: int
    off: tuple[Band, ...]
    weeks: tuple[WeekTick, ...]
    today_x: int | None
    items: tuple[DrawnItem, ...]
    path: str

    @property
    def inner_height(self) -> int:
        """From the line of the weeks to the foot."""
        return self.foot - self.top


class _Join(NamedTuple):
    """Upright from `x`, `y` down to `end_y`, from there level to `end_x`."""

    x: int
    y: int
    end_y: int
    end_x: int


class _Scale:
    """Days to units; a day begins at its own x and ends at the next one's."""

    def __init__(self, first_on: date, last_on: date) -> None:
        self.first_on, self.last_on = first_on, last_on
        self.count = (last_on - first_on).days + 1

    def x(self, day: date) -> int:
        """Left end of `day`, kept within the drawing."""
        offset = min(max((day - self.first_on).days, 0), self.count)
        return LEFT + offset * (RIGHT - LEFT) // self.count

    def holds(self, day: date) -> bool:
        """Whether the day is drawn."""
        return self.first_on <= day <= self.last_on

    def days(self) -> Iterable[date]:
        """Every day of the drawing."""
        return (self.first_on + timedelta(days=n) for n in range(self.count))


def draw_schedule(schedule: Schedule, *, deadlines: Sequence[DayMark] = ()) -> DrawnSchedule:
    """
    Draw the items at their earliest with their float, and the deadlines that fall among them.

    Returns: integer coordinates, every day equally wide. What lies more than a week back is cut off, and what is
        more than four weeks after the last item.
    """
    scale = _scale(schedule, deadlines=deadlines)
    shown = [item for item in schedule.items if item.last_on >= scale.first_on]
    marks = [mark for mark in deadlines if scale.holds(mark.on)]
    items = [_draw_item(item, row=row, scale=scale) for row, item in enumerate(shown)]
    items += [_draw_mark(mark, row=row, scale=scale) for row, mark in enumerate(marks, start=len(shown))]
    joins = _joins([item for item in items if item.is_critical])
    today_on = schedule.days.today_on
    today_x = (scale.x(today_on) + scale.x(today_on + ONE_DAY)) // 2 if scale.holds(today_on) else None
    foot = TOP + ROW * len(items) + 8
    upright = joins if today_x is None else [*joins, _Join(today_x, TOP, foot, today_x)]
    return DrawnSchedule(
        width=WIDTH,
        height=foot + 4,
        top=TOP - 8,
        foot=foot,
        bar=BAR,
        off=_bands(scale, days_off=schedule.days.days_off),
        weeks=_weeks(scale),
        today_x=today_x,
        items=tuple(_clear_of(item, lines=upright) for item in items),
        path="".join(f"M{join.x} {join.y}V{join.end_y}H{join.end_x}" for join in joins),
    )


def _scale(schedule: Schedule, *, deadlines: Sequence[DayMark]) -> _Scale:
    first_on = min(item.first_on for item in schedule.items)
    last_on = max(item.last_on for item in schedule.items)
    if not schedule.days.is_over:
        first_on = max(first_on, min(schedule.days.today_on, last_on) - SHOWN_BEFORE_TODAY)
    near = [mark.on for mark in deadlines if first_on - WEEK <= mark.on <= last_on + MOST_BEYOND]
    first_on, last_on = min([first_on, *near]), max([last_on, *near])
    return _Scale(first_on - timedelta(days=first_on.weekday()), last_on + SHOWN_AFTER)


def _bands(scale: _Scale, *, days_off: frozenset[date]) -> tuple[Band, ...]:
    bands: list[Band] = []
    for day in scale.days():
        if is_workday(day, days_off):
            continue
        x, end = scale.x(day), scale.x(day + ONE_DAY)
        if bands and bands[-1].x + bands[-1].width == x:
            x = bands.pop().x
        bands.append(Band(x, end - x))
    return tuple(bands)


def _weeks(scale: _Scale) -> tuple[WeekTick, ...]:
    mondays = [day for day in scale.days() if day.weekday() == 0]
    every = -(-LEAST_WEEK_UNITS * scale.count // (7 * (RIGHT - LEFT)))
    return tuple(WeekTick(scale.x(day), day) for day in mondays[::every] if scale.x(day) <= RIGHT - LABEL_UNITS)


def _draw_item(item: ScheduleItem, *, row: int, scale: _Scale) -> DrawnItem:
    is_moment = item.counted is None
    x, end_x = scale.x(item.first_on), scale.x(item.last_on + ONE_DAY)
    if is_moment:
        x = end_x = (x + end_x) // 2
    limit_on = item.latest_last_on if is_moment else item.latest_last_on + ONE_DAY
    limit_x = scale.x(limit_on) if scale.first_on <= limit_on <= scale.last_on + ONE_DAY else None
    if is_moment and limit_x is not None:
        limit_x = (limit_x + scale.x(limit_on + ONE_DAY)) // 2
    has_spare = not item.is_done and (item.is_late or item.float_days > 0)
    spare_end_x = limit_x if limit_x is not None else scale.x(limit_on)
    return _place(
        DrawnItem(
            name=item.name, note=note_of(item), x=x, width=end_x - x,
            spare_x=min(end_x, spare_end_x) if has_spare else end_x,
            spare_end_x=max(end_x, spare_end_x) if has_spare else end_x, limit_x=limit_x if has_spare else None,
            is_critical=item.is_critical, is_done=item.is_done, is_late=item.is_late,
        ),
        row=row,
    )  # fmt: skip


def _draw_mark(mark: DayMark, *, row: int, scale: _Scale) -> DrawnItem:
    x = (scale.x(mark.on) + scale.x(mark.on + ONE_DAY)) // 2
    note = "already past" if mark.is_past else ""
    drawn = DrawnItem(
        name=mark.name, note=note, x=x, width=0, spare_x=x, spare_end_x=x, is_late=mark.is_past, is_deadline=True
    )
    return _place(drawn, row=row)


def _place(item: DrawnItem, *, row: int) -> DrawnItem:
    """The item on its line, its label shortened and kept within the drawing."""
    name = item.name if len(item.name) <= NAME_LENGTH else f"{item.name[: NAME_LENGTH - 1].rstrip()}…"
    wide = LABEL_UNITS_PER_LETTER * (len(name) + len(item.note) + 3 * bool(item.note))
    label_y = TOP + row * ROW + 16
    label_x = max(LEFT, min(item.x, RIGHT - wide))
    return replace(item, name=name, label_x=label_x, label_y=label_y, label_width=wide, y=label_y + BAR_BELOW_TEXT)


def note_of(item: ScheduleItem) -> str:
    """How an item stands, in a few words."""
    if item.is_done:
        return "done"
    days = f"{abs(item.float_days)} {'working ' if item.counted == 'working days' else ''}"
    days += "day" if abs(item.float_days) == 1 else "days"
    if item.is_late:
        return f"{days} late"
    if item.code in ("hang", "opening"):
        return ""
    return f"{days} to spare" if item.float_days else "nothing to spare"


def _joins(items: Sequence[DrawnItem]) -> list[_Join]:
    """From the end of each item that decides down to the line of the next one, and along to where it begins."""
    return [_Join(one.x + one.width, one.middle_y, other.middle_y, other.x) for one, other in pairwise(items)]


def _clear_of(item: DrawnItem, *, lines: Sequence[_Join]) -> DrawnItem:
    """The item with its label beside the upright lines that would run through it; without room there it covers them."""
    top, foot = item.label_top_y, item.label_y + LABEL_SINK
    upright = [line.x for line in lines if line.y < foot and line.end_y > top]

    def is_clear(left_x: int) -> bool:
        right_x = left_x + item.label_width
        return left_x >= LEFT and right_x <= RIGHT and not any(left_x < x + LABEL_GAP and x < right_x for x in upright)

    if not any(item.label_x - LABEL_GAP < x < item.label_x + item.label_width for x in upright):
        return item
    beside = [replace(item, label_x=x + LABEL_GAP) for x in upright]
    beside += [replace(item, label_x=x - LABEL_GAP, label_ends=True) for x in upright]
    near = [
        one
        for one in beside
        if item.x - 2 * LABEL_GAP - one.label_width <= one.label_left_x <= item.x + one.label_width
    ]
    return min(
        (one for one in near if is_clear(one.label_left_x)),
        key=lambda one: (one.label_ends, abs(one.label_left_x - item.label_x)),
        default=replace(item, label_covers=True),
    )
