"""The drawing of a wall that is being typed, before anything of it is stored."""

from dataclasses import replace

from campaign.drawing.elevation import Elevation, draw_elevation
from campaign.planning import WallSpec


def draw_typed_wall(wall: WallSpec, *, unit: str) -> Elevation:
    """The bare wall with its dimensions in `unit`, and what stands in the way as far as that lies on it."""
    areas = tuple(
        area
        for area in wall.blocked
        if area.x_mm + area.width_mm <= wall.width_mm and area.y_mm + area.height_mm <= wall.height_mm
    )
    return draw_elevation(replace(wall, blocked=areas), works=[], unit=unit)
