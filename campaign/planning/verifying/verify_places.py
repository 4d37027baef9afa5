"""Where a plan's works hang, checked against walls, rows, gaps, pins and pairs; for the verifier alone."""

import itertools
from collections import defaultdict
from collections.abc import Iterator

from campaign.planning.inputs import Pin, PlanRequest, WallSpec
from campaign.planning.results import Placement, Plan


def check_places(request: PlanRequest, plan: Plan) -> Iterator[str]:
    """Faults in the places of a plan's works; lengths in millimetres."""
    walls = {wall.code: wall for wall in request.walls}
    pins = {work.code: work.pin for work in request.works if work.pin}
    rows: defaultdict[tuple[str, int], list[Placement]] = defaultdict(list)
    for planned in plan.works:
        place = planned.placement
        pin, wall = pins.get(planned.code), walls.get(place.wall_code)
        if pin is not None:
            yield from _check_pin(place, pin=pin)
        if wall is None:
            yield f"{place.work_code} hangs on {place.wall_code}, which is not a wall of the show."
            continue
        yield from _check_on_wall(place, wall=wall, gap_mm=wall.gap_mm(otherwise_mm=request.min_gap_mm))
        rows[place.wall_code, place.row].append(place)
    for (wall_code, _), places in rows.items():
        places.sort(key=lambda place: (place.x_mm, place.x_mm + place.width_mm))
        yield from _check_row(places, gap_mm=walls[wall_code].gap_mm(otherwise_mm=request.min_gap_mm))
    yield from _check_pairs(request, rows=list(rows.values()))
    yield from _check_sets(request, plan)


def _check_pin(place: Placement, *, pin: Pin) -> Iterator[str]:
    if place.wall_code != pin.wall_code:
        yield f"{place.work_code} is pinned to {pin.wall_code} and hangs on {place.wall_code}."
    elif pin.middle_x_mm is not None:
        left = pin.middle_x_mm - place.width_mm // 2
        if place.x_mm != left or place.row != pin.row:
            yield (
                f"{place.work_code} is pinned at {left} mm in row {pin.row} "
                f"and hangs at {place.x_mm} mm in row {place.row}."
            )


def _check_on_wall(place: Placement, *, wall: WallSpec, gap_mm: int) -> Iterator[str]:
    code, right, top = place.work_code, place.x_mm + place.width_mm, place.y_mm + place.height_mm
    free_mm = wall.end_margin_mm + gap_mm
    if place.x_mm < free_mm or right > wall.width_mm - free_mm:
        yield f"{code} comes closer than {free_mm} mm to an end of {wall.code}."
    if place.y_mm < 0 or top > wall.height_mm:
        yield f"{code} does not fit the height of {wall.code}."
    lines = wall.row_centres_mm
    if not 0 <= place.row < len(lines):
        yield f"{code} hangs in row {place.row}, and {wall.code} has {len(lines)}."
    elif abs(place.y_mm + top - 2 * lines[place.row]) > 1:
        yield f"{code} is not centred on the line of {wall.code}."
    if wall.rows == 2 and place.height_mm > wall.row_height_mm:
        yield f"{code} is taller than a row of {wall.code}."
    for area in wall.blocked:
        beside = place.y_mm < area.y_mm + area.height_mm and area.y_mm < top
        if beside and area.x_mm - right < gap_mm and place.x_mm - (area.x_mm + area.width_mm) < gap_mm:
            yield f"{code} is not clear of {area.name} on {wall.code}."


def _check_row(places: list[Placement], *, gap_mm: int) -> Iterator[str]:
    """Gaps between neighbours of one row, left to right; where all neighbours keep it, so do all others."""
    for left, right in itertools.pairwise(places):
        if right.x_mm - (left.x_mm + left.width_mm) < gap_mm:
            yield f"{left.work_code} and {right.work_code} are closer than {gap_mm} mm."


def _check_pairs(request: PlanRequest, *, rows: list[list[Placement]]) -> Iterator[str]:
    """Works that must not hang side by side; the rows are in order."""
    if not request.apart:
        return
    pairs = {frozenset(pair) for pair in request.apart}
    for places in rows:
        for left, right in itertools.pairwise(places):
            if frozenset((left.work_code, right.work_code)) in pairs:
                yield f"{left.work_code} and {right.work_code} hang side by side and must not."


def _check_sets(request: PlanRequest, plan: Plan) -> Iterator[str]:
    """Works that must hang on one wall."""
    wall_of = {planned.code: planned.placement.wall_code for planned in plan.works} if request.together else {}
    for group in request.together:
        used = sorted({wall_of[code] for code in group if code in wall_of})
        if len(used) > 1:
            yield f"{', '.join(group)} must hang on one wall and hang on {', '.join(used)}."
