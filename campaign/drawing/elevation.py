"""One wall with its dimensions, for the studio and the hanging sheet: works, lines, gaps, what is in the way."""

import itertools
import string
from collections.abc import Sequence
from dataclasses import dataclass, replace

from campaign.drawing.chains import FONT_UNITS, LETTER_UNITS, Chain, Label, Span, chain_height, draw_chain
from campaign.drawing.room import PERSON_HEIGHT_MM, WIDTH_UNITS, Box
from campaign.measures.lengths import format_length, format_sixteenths
from campaign.planning.inputs import BlockedArea, WallSpec
from campaign.planning.placing.hooks import Hook
from campaign.planning.results import Placement

# Beside the wall: its height and the person on the left, the heights of the lines on the right.
LEFT_UNITS = 440
RIGHT_UNITS = 950
HEAD_UNITS = 120
FOOT_UNITS = 160
MOST_HEIGHT_UNITS = 5_200
PERSON_ROOM_MM = 640
BADGE_UNITS = 250


@dataclass(frozen=True, slots=True)
class HungPicture:
    """A work that hangs: its number in the list, where it is, the print inside its frame, its file, its hooks."""

    number: int
    title: str
    place: Placement
    print_width_mm: int
    print_height_mm: int
    image: str = ""
    hooks: tuple[Hook, ...] = ()


@dataclass(frozen=True, slots=True)
class FramedWork:
    """
    A work in the drawing; `badge` is where its number stands, `hooks` are the middles of their marks.

    `row_name` is that of the row which begins with it, "" for all others.
    """

    number: int
    title: str
    image: str
    place: Placement
    row_name: str
    frame: Box
    picture: Box
    badge: Box
    hooks: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class DrawnArea:
    """Something in the way: its letter in the list, and where it is called by it."""

    letter: str
    name: str
    x_mm: int
    y_mm: int
    width_mm: int
    height_mm: int
    box: Box
    label: Label


@dataclass(frozen=True, slots=True)
class Elevation:
    """
    One wall in a drawing WIDTH_UNITS wide and `height` high, y downwards.

    `lines` are the lines that works hang on, `chains` the dimensions along the wall; works and chains go from the
    upper row to the lower one, left to right, as the text beside the drawing does.
    """

    code: str
    name: str
    width_mm: int
    height_mm: int
    height: int
    wall: Box
    person: Box
    blocked: tuple[DrawnArea, ...]
    lines: tuple[Label, ...]
    works: tuple[FramedWork, ...]
    chains: tuple[Chain, ...]
    rise: Label

    @property
    def right_x(self) -> int:
        """The wall's right end."""
        return self.wall.x + self.wall.width

    @property
    def rise_x(self) -> int:
        """Where the dimension line of the height runs."""
        return self.wall.x - 170

    @property
    def font(self) -> int:
        """How high letters are."""
        return FONT_UNITS


def draw_elevation(wall: WallSpec, *, works: Sequence[HungPicture], unit: str) -> Elevation:
    """
    Draw one wall to scale with its dimension lines.

    Parameters: works, those on this wall, in any order; unit, mm, cm or in, for all figures (which stand without it).
    Returns: integer units. Walls fill the drawing's width unless they are too high for it.
    Notes: a figure that has no room among its neighbours is left out here and stands in the text.
    """
    scale = _Scale.of(wall)
    ordered = sorted(works, key=lambda one: (one.place.row, one.place.x_mm))
    rows = [scale.gaps([one.place for one in ordered if one.place.row == row], unit=unit) for row in range(wall.rows)]
    top = HEAD_UNITS + (chain_height(rows[0]) if wall.rows == 2 and rows[0] else 0)
    scale = replace(scale, top=top)
    whole = scale.box(x_mm=0, y_mm=0, width_mm=wall.width_mm, height_mm=wall.height_mm)
    chains = [draw_chain(rows[0], at=top, is_above=True)] if wall.rows == 2 and rows[0] else []
    at = whole.foot_y
    for spans in (rows[-1], scale.in_the_way(unit=unit), scale.whole(unit=unit)):
        if spans:
            chains.append(draw_chain(spans, at=at))
            at += chain_height(spans)
    blocked = sorted(wall.blocked, key=lambda area: (area.x_mm, area.y_mm))
    return Elevation(
        code=wall.code,
        name=wall.name,
        width_mm=wall.width_mm,
        height_mm=wall.height_mm,
        height=at + FOOT_UNITS,
        wall=whole,
        person=scale.person(),
        blocked=tuple(scale.area(area, letter=letter_of(i)) for i, area in enumerate(blocked)),
        lines=tuple(
            Label(whole.x + whole.width + 110, scale.y(line_mm), _figure(line_mm, unit=unit))
            for line_mm in wall.row_centres_mm
        ),
        works=tuple(scale.work(one, row_name=row_name(wall, ordered=ordered, at=i)) for i, one in enumerate(ordered)),
        chains=tuple(chains),
        rise=Label(whole.x - 230, whole.y + whole.height // 2, _figure(wall.height_mm, unit=unit)),
    )


def row_name(wall: WallSpec, *, ordered: Sequence[HungPicture], at: int) -> str:
    """What the row is called that begins with a work, "" where none does or there is only one."""
    row = ordered[at].place.row
    if wall.rows == 1 or (at > 0 and ordered[at - 1].place.row == row):
        return ""
    return ("Upper row", "Lower row")[row]


def letter_of(index: int) -> str:
    """A for the first, B for the second; after Z come A1, B1 and so on."""
    turn, place = divmod(index, len(string.ascii_uppercase))
    return string.ascii_uppercase[place] + (str(turn) if turn else "")


def _figure(mm: int, *, unit: str) -> str:
    """A length without its unit, which is said once for the whole drawing."""
    return format_sixteenths(mm) if unit == "in" else format_length(mm, unit=unit).removesuffix(f" {unit}")


@dataclass(frozen=True, slots=True)
class _Scale:
    """From a wall's millimetres to the drawing: `num` / `den` units a millimetre, the wall's top at `top`."""

    wall: WallSpec
    num: int
    den: int
    top: int = 0

    @classmethod
    def of(cls, wall: WallSpec) -> "_Scale":
        across, across_mm = WIDTH_UNITS - LEFT_UNITS - RIGHT_UNITS, wall.width_mm + PERSON_ROOM_MM
        if across * wall.height_mm <= MOST_HEIGHT_UNITS * across_mm:
            return cls(wall, across, across_mm)
        return cls(wall, MOST_HEIGHT_UNITS, wall.height_mm)

    def units(self, mm: int) -> int:
        return mm * self.num // self.den

    def x(self, mm: int) -> int:
        return LEFT_UNITS + self.units(PERSON_ROOM_MM + mm)

    def y(self, mm: int) -> int:
        """Of a height above the floor."""
        return self.top + self.units(self.wall.height_mm - mm)

    def box(self, *, x_mm: int, y_mm: int, width_mm: int, height_mm: int) -> Box:
        """Edges are rounded, not sizes, so neighbours stay flush."""
        left, upper = self.x(x_mm), self.y(y_mm + height_mm)
        return Box(left, upper, self.x(x_mm + width_mm) - left, self.y(y_mm) - upper)

    def person(self) -> Box:
        width_mm = PERSON_HEIGHT_MM * 26 // 100
        return replace(self.box(x_mm=-PERSON_ROOM_MM, y_mm=0, width_mm=width_mm, height_mm=PERSON_HEIGHT_MM), x=60)

    def area(self, area: BlockedArea, *, letter: str) -> DrawnArea:
        box = self.box(x_mm=area.x_mm, y_mm=area.y_mm, width_mm=area.width_mm, height_mm=area.height_mm)
        named = f"{letter} {area.name}"
        text = named if len(named) * LETTER_UNITS <= box.width else letter
        is_inside = len(text) * LETTER_UNITS <= box.width and box.height >= FONT_UNITS
        label = Label(box.middle_x, box.y + box.height // 2 + 65 if is_inside else box.y - 50, text)
        return DrawnArea(letter, area.name, area.x_mm, area.y_mm, area.width_mm, area.height_mm, box, label)

    def work(self, one: HungPicture, *, row_name: str) -> FramedWork:
        place = one.place
        frame = self.box(x_mm=place.x_mm, y_mm=place.y_mm, width_mm=place.width_mm, height_mm=place.height_mm)
        width_mm, height_mm = one.print_width_mm, one.print_height_mm
        picture = self.box(
            x_mm=place.x_mm + (place.width_mm - width_mm) // 2,
            y_mm=place.y_mm + (place.height_mm - height_mm) // 2,
            width_mm=width_mm,
            height_mm=height_mm,
        )
        # Beside the frame, never over the picture: above it in the upper of two rows, whose gap may be small.
        is_above = self.wall.rows == 2 and place.row == 0
        badge_width = max(BADGE_UNITS, len(str(one.number)) * LETTER_UNITS + 90)
        badge_y = frame.y - BADGE_UNITS if is_above else frame.foot_y
        badge = Box(frame.middle_x - badge_width // 2, badge_y, badge_width, BADGE_UNITS)
        hooks = tuple((self.x(hook.x_mm), self.y(hook.height_mm)) for hook in one.hooks)
        return FramedWork(one.number, one.title, one.image, place, row_name, frame, picture, badge, hooks)

    def gaps(self, places: Sequence[Placement], *, unit: str) -> list[Span]:
        """The gaps of a row with the ends of the wall; none where nothing hangs in it."""
        if not places:
            return []
        edges = [0, *(mm for place in places for mm in (place.x_mm, place.x_mm + place.width_mm)), self.wall.width_mm]
        spans = [self.span(start, end, unit=unit) for start, end in zip(edges[::2], edges[1::2], strict=True)]
        return [span for span in spans if span.end > span.start]

    def in_the_way(self, *, unit: str) -> list[Span]:
        """From edge to edge of what is in the way, where that lies on the wall."""
        edges = {mm for area in self.wall.blocked for mm in (area.x_mm, area.x_mm + area.width_mm)}
        on_wall = sorted({0, self.wall.width_mm, *(mm for mm in edges if 0 < mm < self.wall.width_mm)})
        if len(on_wall) == 2:
            return []
        return [self.span(start, end, unit=unit) for start, end in itertools.pairwise(on_wall)]

    def whole(self, *, unit: str) -> list[Span]:
        return [self.span(0, self.wall.width_mm, unit=unit)]

    def span(self, start_mm: int, end_mm: int, *, unit: str) -> Span:
        return Span(self.x(start_mm), self.x(end_mm), _figure(end_mm - start_mm, unit=unit))
