"""All walls of a plan with their dimensions; one wall is drawn in elevation.py."""

from collections.abc import Mapping, Sequence

from campaign.drawing.elevation import Elevation, HungPicture, draw_elevation
from campaign.drawing.room import Listed
from campaign.planning.inputs import PlanRequest
from campaign.planning.placing.hooks import Hook
from campaign.planning.results import Plan

NO_HOOKS: Mapping[str, tuple[Hook, ...]] = {}


def draw_elevations(
    request: PlanRequest,
    *,
    now: Plan | None,
    works: Sequence[Listed],
    unit: str,
    hooks: Mapping[str, tuple[Hook, ...]] = NO_HOOKS,
) -> tuple[Elevation, ...]:
    """
    Draw every wall of a request with what a plan hangs on it, each as large as it can be.

    Parameters: now, None for bare walls; works, their numbers and files; hooks, by work code.
    """
    listed = {one.code: one for one in works}
    prints = {
        (option.work_code, option.size_code, option.finish_code): (option.print_width_mm, option.print_height_mm)
        for work in request.works
        for option in work.options
    }
    hung: dict[str, list[HungPicture]] = {wall.code: [] for wall in request.walls}
    for one in now.works if now else ():
        width_mm, height_mm = prints[one.code, one.size_code, one.finish_code]
        known = listed.get(one.code, Listed(one.code, 0, ""))
        hung[one.placement.wall_code].append(
            HungPicture(
                number=known.number,
                title=one.title,
                place=one.placement,
                print_width_mm=width_mm,
                print_height_mm=height_mm,
                image=known.image,
                hooks=hooks.get(one.code, ()),
            )
        )
    return tuple(draw_elevation(wall, works=hung[wall.code], unit=unit) for wall in request.walls)
