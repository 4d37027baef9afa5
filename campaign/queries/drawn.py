"""Drawings of the room for the studio: the walls as measured, with what hangs on them."""

from campaign.drawing.room import DrawnWall, Listed, draw_room
from campaign.models import Show
from campaign.planning import PlanRequest
from campaign.queries.explain import find_fixed
from campaign.queries.plan_request import load_request, read_walls
from campaign.queries.standing import load_plan, read_standing


def show_walls(show: Show, *, code: str = "") -> tuple[DrawnWall, ...]:
    """
    The walls as measured, with what hangs on them: the fixed plan once the campaign is closed, before that what the
    money in hand buys. Only the wall `code` if one is named.

    While edits wait for a new staircase the walls are drawn bare, because what hung on them may not fit any more.
    """
    standing = read_standing(show)
    fixed = find_fixed(show) if show.closed_at is not None else None
    if fixed:
        drawn = draw_room(load_request(fixed.run.request), now=load_plan(fixed.plan), pencil=None, works=_listed(show))
    elif standing.is_fresh and standing.request is not None:
        drawn = draw_room(standing.request, now=standing.now, pencil=None, works=_listed(show))
    else:
        bare = PlanRequest(works=(), walls=read_walls(show), show_cost_minor=0, min_gap_mm=0, printer_seconds=0)
        drawn = draw_room(bare, now=None, pencil=None, works=[])
    return tuple(wall for wall in drawn if code in ("", wall.code))


def _listed(show: Show) -> list[Listed]:
    rows = show.works.values_list("code", "picture__sha256")
    return [Listed(code, number, sha256 or "") for number, (code, sha256) in enumerate(rows, start=1)]
