"""The drawing of a wall that is being typed, before anything of it is stored."""

from dataclasses import replace

from campaign.drawing.room import DrawnWall, draw_room
from campaign.planning import PlanRequest, WallSpec


def draw_typed_wall(wall: WallSpec) -> tuple[DrawnWall, ...]:
    """The bare wall with what stands in the way, as far as that lies on it."""
    areas = tuple(
        area
        for area in wall.blocked
        if area.x_mm + area.width_mm <= wall.width_mm and area.y_mm + area.height_mm <= wall.height_mm
    )
    request = PlanRequest(
        works=(), walls=(replace(wall, blocked=areas),), show_cost_minor=0, min_gap_mm=0, printer_seconds=0
    )
    return draw_room(request, now=None, pencil=None, works=[])
