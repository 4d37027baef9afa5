"""Drawings of the room for the studio: the walls as measured, with what hangs on them."""

from campaign.drawing.elevation import Elevation
from campaign.drawing.elevations import draw_elevations
from campaign.drawing.room import Listed
from campaign.models import Show
from campaign.planning import Plan, PlanRequest
from campaign.queries.explain import find_fixed
from campaign.queries.plan_request import load_request, read_walls
from campaign.queries.standing import load_plan, read_standing


def show_walls(show: Show, *, code: str = "") -> tuple[Elevation, ...]:
    """
    The walls with their dimensions and what hangs on them: the fixed plan once the campaign is closed, before that
    what the money in hand buys. Only the wall `code` if one is named.

    While edits wait for a new staircase the walls are drawn bare, because what hung on them may not fit any more.
    """
    standing = read_standing(show)
    now: Plan | None = None
    fixed = find_fixed(show) if show.closed_at is not None else None
    if fixed:
        request, now = load_request(fixed.run.request), load_plan(fixed.plan)
    elif standing.is_fresh and standing.request is not None:
        request, now = standing.request, standing.now
    else:
        request = PlanRequest(works=(), walls=read_walls(show), show_cost_minor=0, min_gap_mm=0, printer_seconds=0)
    drawn = draw_elevations(request, now=now, works=listed_works(show), unit=show.length_unit)
    return tuple(wall for wall in drawn if code in ("", wall.code))


def listed_works(show: Show) -> list[Listed]:
    """The works as drawings number them, each with the name of its picture. One query."""
    rows = show.works.values_list("code", "picture__sha256")
    return [Listed(code, number, sha256 or "") for number, (code, sha256) in enumerate(rows, start=1)]
