"""Which ways to hang a work are not offered, and why: no price, no place, no time; money is not looked at here."""

from collections.abc import Iterator
from dataclasses import dataclass

from campaign.measures.lengths import format_length, format_size
from campaign.planning.costing.quantities import Wording
from campaign.planning.costing.recipe_lines import BY_SIZE, extent_of, table_row
from campaign.planning.errors import OverSizeTable
from campaign.planning.inputs import Option, PlanRequest, WorkOptions
from campaign.planning.placing.wall import Stretch, stretches_for
from campaign.planning.specs import FinishSpec, SizeSpec, WorkSpec


@dataclass(frozen=True, slots=True)
class NotOffered:
    """A size and finish that no plan can have; `reason` stands after "not offered because"."""

    work_code: str
    size_code: str
    finish_code: str
    reason: str


def over_table(work: WorkSpec, *, wording: Wording) -> tuple[NotOffered, ...]:
    """The sizes and finishes of a work that are larger than a size table they are priced by."""
    found = (
        (size, finish, _table_reason(work, size, finish, wording)) for size in work.sizes for finish in work.finishes
    )
    return tuple(NotOffered(work.code, size.code, finish.code, reason) for size, finish, reason in found if reason)


def not_offered(request: PlanRequest, *, wording: Wording) -> tuple[NotOffered, ...]:
    """
    The options of a request that no plan can have, however much money there is, each with the first reason met.

    Notes: works, sizes and finishes in the request's order; each option is looked at alone, so what only the
        neighbours keep from hanging is not among them.
    """
    pieces = stretches_for(request)
    gaps = {wall.code: wall.gap_mm(otherwise_mm=request.min_gap_mm) for wall in request.walls}
    found = (
        (option, next(_reasons(option, work=work, request=request, pieces=pieces, gaps=gaps, wording=wording), ""))
        for work in request.works
        for option in work.options
    )
    return tuple(
        NotOffered(option.work_code, option.size_code, option.finish_code, reason) for option, reason in found if reason
    )


def _table_reason(work: WorkSpec, size: SizeSpec, finish: FinishSpec, wording: Wording) -> str:
    given = {code for code, _ in work.given}
    by_size = [line for line in finish.lines if line.basis in BY_SIZE and line.item.code not in given]
    if not by_size:
        return ""
    extent = extent_of(size, finish)
    try:
        for line in by_size:
            table_row(line, extent=extent)
    except OverSizeTable as fault:
        piece = format_size(fault.width_mm, fault.height_mm, unit=wording.length_unit)
        return f"the size table of “{fault.item_name}” has no row for {piece}"
    return ""


def _reasons(
    option: Option, *, work: WorkOptions, request: PlanRequest, pieces: tuple[Stretch, ...], gaps: dict[str, int],
    wording: Wording,
) -> Iterator[str]:  # fmt: skip
    if request.lead_days is not None and option.lead_days > request.lead_days:
        yield (
            f"it takes {_days(option.lead_days)} after printing, and there are {max(request.lead_days, 0)} "
            "before hanging day"
        )
    if option.printer_seconds > request.printer_seconds:
        yield f"it takes {_time(option.printer_seconds)} of printing, and {_time(request.printer_seconds)} are left"
    where, allowed = "any wall", pieces
    if work.pin:
        where, wall_code = "its wall", work.pin.wall_code
        allowed = tuple(piece for piece in pieces if piece.wall_code == wall_code)
    unit = wording.length_unit
    high_enough = [piece for piece in allowed if option.height_mm <= piece.max_height_mm]
    if not high_enough:
        most = max((piece.max_height_mm for piece in allowed), default=0)
        yield (
            f"it is {format_length(option.height_mm, unit=unit)} high, and no row of {where} takes more than "
            f"{format_length(most, unit=unit)}"
        )
    free = [piece.length_mm - 2 * gaps[piece.wall_code] for piece in high_enough]
    if option.width_mm > max(free, default=0):
        yield (
            f"it is {format_length(option.width_mm, unit=unit)} wide, and the longest stretch of {where} that is high "
            f"enough has {format_length(max(*free, 0), unit=unit)} between its gaps"
        )


def _days(count: int) -> str:
    return "1 working day" if count == 1 else f"{count} working days"


def _time(seconds: int) -> str:
    """
    Hours and minutes, a started minute counted.

    >>> _time(5400), _time(60)
    ('1 h 30 min', '1 min')
    """
    hours, minutes = divmod(-(-seconds // 60), 60)
    return f"{hours} h {minutes} min" if hours else f"{minutes} min"
