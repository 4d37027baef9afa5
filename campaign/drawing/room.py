"""The walls of the public page: what hangs in colour, what the next level brings in pencil, all at one scale."""

from collections.abc import Sequence
from dataclasses import dataclass

from campaign.planning.inputs import (
    PlanRequest,
    WallSpec,
)
from campaign.planning.results import Placement, Plan, PlannedWork

# Every drawing is this wide, in its own units, so that a style sheet can size its words for a phone or a desk.
WIDTH_UNITS = 10_000
FOOT_UNITS = 620
# A person of 1.70 m stands to the left of each wall, for scale.
PERSON_HEIGHT_MM = 1_700
PERSON_ROOM_MM = 760
END_ROOM_MM = 90
HEAD_ROOM_MM = 40


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in the drawing's units: upper left corner and size, y downwards."""

    x: int
    y: int
    width: int
    height: int

    @property
    def middle_x(self) -> int:
        """Half way across."""
        return self.x + self.width // 2

    @property
    def foot_y(self) -> int:
        """The lower edge."""
        return self.y + self.height


@dataclass(frozen=True, slots=True)
class DrawnWork:
    """
    One work: `frame` and `picture` as it hangs now, both None where it does not; `pencil` as the next level has it.

    `pencil` is None where the next level changes nothing about the work; `image` names the file for `picture`. With
    `is_upper` it hangs above another row, so its number stands over it, else below.
    """

    code: str
    number: int
    title: str
    image: str
    frame: Box | None
    picture: Box | None
    pencil: Box | None
    is_upper: bool = False

    @property
    def outline(self) -> Box:
        """The outermost rectangle, under which the number stands."""
        box = self.pencil or self.frame
        assert box is not None, "a work is drawn because it hangs or will"
        return box


@dataclass(frozen=True, slots=True)
class DrawnWall:
    """One wall; `height` is that of the whole drawing, `person` the box a standing person fills."""

    code: str
    name: str
    width_mm: int
    height_mm: int
    height: int
    wall: Box
    blocked: tuple[tuple[str, Box], ...]
    lines_y: tuple[int, ...]
    person: Box
    works: tuple[DrawnWork, ...]

    @property
    def right_x(self) -> int:
        """The wall's right end."""
        return self.wall.x + self.wall.width

    @property
    def dimension_y(self) -> int:
        """Where the dimension line of the wall's width runs."""
        return self.wall.foot_y + 160


@dataclass(frozen=True, slots=True)
class Listed:
    """A work as the list beside the drawing has it: its number there, and the name of its image file, "" for none."""

    code: str
    number: int
    image: str


@dataclass(frozen=True, slots=True)
class _Hung:
    """A work with its two states: as it hangs now, and as the next level has it."""

    listed: Listed
    now: PlannedWork | None
    later: PlannedWork | None


def draw_room(
    request: PlanRequest, *, now: Plan | None, pencil: Plan | None, works: Sequence[Listed]
) -> tuple[DrawnWall, ...]:
    """
    Draw every wall of a room.

    Parameters: now, what hangs, None for bare walls; pencil, the plan of the next level, None for none; works,
        all that could be drawn, in the order of the list beside the drawing.
    Returns: the walls in the request's order, all at one scale, integer units.
    Notes: where the next level keeps all that hangs, everything stands where the next level has it and the pencilled
        works fit between. Where it takes a work down or shrinks it, the two layouts cannot be laid over each other:
        then only what hangs now is drawn.
    """
    if not request.walls:
        return ()
    hanging = {work.code: work for work in now.works} if now else {}
    coming = {work.code: work for work in pencil.works} if pencil else {}
    if not all(code in coming and _fits(work, inside=coming[code]) for code, work in hanging.items()):
        coming = {}
    hung = [
        _Hung(listed=work, now=hanging.get(work.code), later=coming.get(work.code))
        for work in works
        if work.code in hanging or work.code in coming
    ]
    widest_mm = max(wall.width_mm for wall in request.walls)
    scale_mm = PERSON_ROOM_MM + widest_mm + END_ROOM_MM
    return tuple(_draw_wall(wall, request=request, hung=hung, scale_mm=scale_mm) for wall in request.walls)


def _draw_wall(wall: WallSpec, *, request: PlanRequest, hung: Sequence[_Hung], scale_mm: int) -> DrawnWall:
    def units(mm: int) -> int:
        return mm * WIDTH_UNITS // scale_mm

    def box(*, x_mm: int, y_mm: int, width_mm: int, height_mm: int) -> Box:
        """From a place on the wall, heights upwards, to the drawing; edges are rounded, so neighbours stay flush."""
        left, right = units(PERSON_ROOM_MM + x_mm), units(PERSON_ROOM_MM + x_mm + width_mm)
        top_mm = HEAD_ROOM_MM + wall.height_mm - y_mm - height_mm
        top, foot = units(top_mm), units(top_mm + height_mm)
        return Box(x=left, y=top, width=right - left, height=foot - top)

    whole = box(x_mm=0, y_mm=0, width_mm=wall.width_mm, height_mm=wall.height_mm)
    blocked = tuple(
        (area.name, box(x_mm=area.x_mm, y_mm=area.y_mm, width_mm=area.width_mm, height_mm=area.height_mm))
        for area in wall.blocked
    )
    works = []
    for one in hung:
        shown = one.later or one.now
        if shown is None or shown.placement.wall_code != wall.code:
            continue
        frame = picture = pencil = None
        if one.now is not None:
            at = _centred(one.now.placement, on=shown.placement)
            frame, picture = box(**_rect(at)), box(**_rect(_print_of(one.now, at=at, request=request)))
        if one.later is not None and (one.now is None or _size(one.now) != _size(one.later)):
            pencil = box(**_rect(one.later.placement))
        listed = one.listed
        is_upper = wall.rows > 1 and shown.placement.row == 0
        works.append(DrawnWork(shown.code, listed.number, shown.title, listed.image, frame, picture, pencil, is_upper))
    person_mm = PERSON_HEIGHT_MM * 26 // 100
    return DrawnWall(
        code=wall.code,
        name=wall.name,
        width_mm=wall.width_mm,
        height_mm=wall.height_mm,
        height=whole.foot_y + FOOT_UNITS,
        wall=whole,
        blocked=blocked,
        lines_y=tuple(box(x_mm=0, y_mm=mm, width_mm=0, height_mm=0).y for mm in wall.row_centres_mm),
        person=box(x_mm=-PERSON_ROOM_MM + 160, y_mm=0, width_mm=person_mm, height_mm=PERSON_HEIGHT_MM),
        works=tuple(works),
    )


def _size(work: PlannedWork) -> tuple[int, int]:
    return work.placement.width_mm, work.placement.height_mm


def _fits(work: PlannedWork, *, inside: PlannedWork) -> bool:
    (width, height), (width_there, height_there) = _size(work), _size(inside)
    return width <= width_there and height <= height_there


def _rect(place: Placement) -> dict[str, int]:
    return {"x_mm": place.x_mm, "y_mm": place.y_mm, "width_mm": place.width_mm, "height_mm": place.height_mm}


def _centred(place: Placement, *, on: Placement) -> Placement:
    """`place` moved so that its middle is that of `on`."""
    return Placement(
        work_code=place.work_code,
        wall_code=on.wall_code,
        x_mm=on.x_mm + (on.width_mm - place.width_mm) // 2,
        y_mm=on.y_mm + (on.height_mm - place.height_mm) // 2,
        width_mm=place.width_mm,
        height_mm=place.height_mm,
    )


def _print_of(work: PlannedWork, *, at: Placement, request: PlanRequest) -> Placement:
    """The print inside the frame: border, mat and moulding are the same on all sides."""
    options = next(one.options for one in request.works if one.code == work.code)
    option = next(o for o in options if (o.size_code, o.finish_code) == (work.size_code, work.finish_code))
    inner = Placement(work.code, at.wall_code, 0, 0, option.print_width_mm, option.print_height_mm)
    return _centred(inner, on=at)
