"""Walls of the room and what stands in the way on them."""

from dataclasses import dataclass

from django.db import transaction
from django.db.models import Max

from campaign.models import BlockedArea, Show, Wall, Work
from campaign.services.inputs import free_code, open_inputs

FIELDS = (
    "name", "width_mm", "height_mm", "centre_mm", "end_margin_mm", "rows", "row_height_mm", "row_gap_mm", "min_gap_mm",
    "material", "load_note",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class BlockedWish:
    """A door, window, switch or radiator as typed: lower left corner from the wall's left end and the floor."""

    kind: str
    name: str
    x_mm: int
    y_mm: int
    width_mm: int
    height_mm: int


@dataclass(frozen=True, slots=True)
class WallWish:
    """A wall as typed, with everything that stands in the way on it."""

    name: str
    width_mm: int
    height_mm: int
    centre_mm: int
    end_margin_mm: int
    rows: int = 1
    row_height_mm: int = 0
    row_gap_mm: int = 0
    min_gap_mm: int | None = None
    material: str = ""
    load_note: str = ""
    blocked: tuple[BlockedWish, ...] = ()


@transaction.atomic(durable=True)
def save_wall(*, show: Show, wall: Wall | None, wish: WallWish) -> Wall:
    """
    Add a wall at the end of the room, or change one.

    Writes: Wall, BlockedArea, Work (its pinned row); Show.inputs_version.
    Raises: PlanIsFixed.
    Repeat: the same measures again change nothing.
    """
    doing = f"The wall “{wish.name}” was {'changed' if wall else 'added'}"
    current = open_inputs(show, doing=doing)
    if wall is None:
        wall = Wall(show=current, code=_new_code(current, name=wish.name), position=_next_position(current))
    for field in FIELDS:
        setattr(wall, field, getattr(wish, field))
    wall.full_clean()
    wall.save()
    if wall.rows == 1:  # what was pinned to the lower row hangs in the only one
        Work.objects.filter(pinned_wall=wall, pinned_row=1).update(pinned_row=0)
    wall.blocked_areas.all().delete()
    BlockedArea.objects.bulk_create(
        BlockedArea(
            wall=wall, kind=area.kind, name=area.name, x_mm=area.x_mm, y_mm=area.y_mm, width_mm=area.width_mm,
            height_mm=area.height_mm,
        )
        for area in wish.blocked
    )  # fmt: skip
    return wall


@transaction.atomic(durable=True)
def remove_wall(*, show: Show, wall: Wall) -> None:
    """
    Take a wall out of the room; works that hung or were pinned there move or come down.

    Writes: Wall, BlockedArea, Work; Show.inputs_version.
    Raises: PlanIsFixed.
    Repeat: a wall that is gone stays gone.
    """
    open_inputs(show, doing=f"The wall “{wall.name}” was taken out")
    # A place without a wall is refused by the database, so both go at once.
    Work.objects.filter(pinned_wall=wall).update(pinned_wall=None, pinned_middle_mm=None, pinned_row=0)
    Wall.objects.filter(pk=wall.pk).delete()


def _new_code(show: Show, *, name: str) -> str:
    return free_code(name, taken=set(show.walls.values_list("code", flat=True)), otherwise="wall")


def _next_position(show: Show) -> int:
    highest = show.walls.aggregate(highest=Max("position"))["highest"]
    return (highest or 0) + 1
