"""The free pieces of a show's walls, worked out anew for the references: none of the package's wall code is used."""

import itertools

from campaign.planning import PlanRequest, WallSpec


def pieces_of(request: PlanRequest) -> list[tuple[WallSpec, int, int, int, int]]:
    """
    Free pieces of every row of every wall, left to right: (wall, row, from_mm, to_mm, tallest_mm).

    A row is cut where the room around its line changes, as far as the tallest option on offer would notice.
    """
    tallest = max((option.height_mm for work in request.works for option in work.options), default=0)
    return [
        (wall, row, *piece)
        for wall in request.walls
        for row, line in enumerate(wall.row_centres_mm)
        for piece in _row_pieces(wall, line=line, tallest=tallest)
    ]


def _row_pieces(wall: WallSpec, *, line: int, tallest: int) -> list[tuple[int, int, int]]:
    band = min(tallest, 2 * min(line, wall.height_mm - line))
    if wall.rows == 2:
        band = min(band, wall.row_height_mm)
    left, right = wall.end_margin_mm, wall.width_mm - wall.end_margin_mm
    if left >= right:
        return []
    marks = {left, right, *(x for a in wall.blocked for x in (a.x_mm, a.x_mm + a.width_mm) if left < x < right)}
    pieces: list[tuple[int, int, int]] = []
    for start, end in itertools.pairwise(sorted(marks)):
        room = band
        for area in wall.blocked:
            if area.x_mm < end and start < area.x_mm + area.width_mm:
                room = min(room, max(2 * (area.y_mm - line), 2 * (line - area.y_mm - area.height_mm), 0))
        if pieces and pieces[-1][1] == start and pieces[-1][2] == room:
            pieces[-1] = (pieces[-1][0], end, room)
        else:
            pieces.append((start, end, room))
    return [piece for piece in pieces if piece[2] > 0]
