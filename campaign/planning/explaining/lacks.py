"""What one option lacks to hang at all, in millimetres, seconds and days; what other works leave is not looked at."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from campaign.planning.inputs import Option, Pin, PlanRequest, WorkOptions
from campaign.planning.placing.wall import Stretch, stretches_for


class Lack(StrEnum):
    """What keeps an option from every wall, however much money there is."""

    WORTH = "worth"  # points: it is worth nothing, so no plan has a reason for it
    LENGTH = "length"  # millimetres of the stretch that comes nearest
    HEIGHT = "height"  # millimetres of the highest row
    PLACE = "place"  # millimetres around the place it is pinned to
    PRINTER = "printer"  # seconds
    LEAD = "lead"  # working days


@dataclass(frozen=True, slots=True)
class Lacking:
    """How much of what is missing, and on which wall where it is one."""

    lack: Lack
    amount: int
    wall_code: str = ""


def lacks_of_work(request: PlanRequest, work: WorkOptions) -> tuple[Lacking, ...]:
    """
    What the option that lacks least is lacking; empty when some option can hang.

    Notes: least is fewest kinds of things, then the smallest amount of the first kind, then the earlier option.
    """
    pieces = stretches_for(request)
    found = [_lacks(option, pin=work.pin, request=request, pieces=pieces) for option in work.options]
    if not found or not all(found):
        return ()
    return min(
        found, key=lambda lacking: (len(lacking), [list(Lack).index(one.lack) for one in lacking], _first(lacking))
    )


def _first(lacking: Sequence[Lacking]) -> int:
    return lacking[0].amount


def _lacks(option: Option, *, pin: Pin | None, request: PlanRequest, pieces: Sequence[Stretch]) -> tuple[Lacking, ...]:
    found = [Lacking(Lack.WORTH, 1)] if option.worth == 0 else []
    found.extend(_lacks_place(option, pin=pin, request=request, pieces=pieces))
    if option.printer_seconds > request.printer_seconds:
        found.append(Lacking(Lack.PRINTER, option.printer_seconds - request.printer_seconds))
    if request.lead_days is not None and option.lead_days > request.lead_days:
        found.append(Lacking(Lack.LEAD, option.lead_days - request.lead_days))
    return tuple(found)


def _lacks_place(option: Option, *, pin: Pin | None, request: PlanRequest, pieces: Sequence[Stretch]) -> list[Lacking]:
    """Nothing, or the one thing that a stretch would have to have more of."""
    allowed = [piece for piece in pieces if pin is None or piece.wall_code == pin.wall_code]
    high = [piece for piece in allowed if piece.max_height_mm >= option.height_mm]
    if not high:
        best = max(allowed, key=lambda piece: piece.max_height_mm, default=None)
        most_mm = best.max_height_mm if best else 0
        return [Lacking(Lack.HEIGHT, option.height_mm - most_mm, best.wall_code if best else "")]
    gaps = {wall.code: wall.gap_mm(otherwise_mm=request.min_gap_mm) for wall in request.walls}
    middle_mm = pin.middle_x_mm if pin else None
    short = [
        (_short_mm(option, piece=piece, middle_mm=middle_mm, gap_mm=gaps[piece.wall_code]), piece) for piece in high
    ]
    least_mm, piece = min(short, key=lambda one: one[0])
    kind = Lack.LENGTH if middle_mm is None else Lack.PLACE
    return [Lacking(kind, least_mm, piece.wall_code)] if least_mm > 0 else []


def _short_mm(option: Option, *, piece: Stretch, middle_mm: int | None, gap_mm: int) -> int:
    """What a stretch is too short by for a work and its gaps, or for them around one place; 0 or less when it fits."""
    needed_mm = option.width_mm + 2 * gap_mm
    if middle_mm is None:
        return needed_mm - piece.length_mm
    left_mm = middle_mm - option.width_mm // 2 - gap_mm
    return max(piece.x_mm - left_mm, left_mm + needed_mm - (piece.x_mm + piece.length_mm))
