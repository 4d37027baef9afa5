"""Planning again with one thing changed, to learn whether a work then hangs: rules, walls, printer time."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial

from campaign.planning.explaining.hangers import Change, Kind, Rule
from campaign.planning.inputs import PlanRequest, WallSpec, WorkOptions
from campaign.planning.results import Staircase, Step

WALL_GRAIN_MM = 10
PRINTER_GRAIN_SECONDS = 60

Build = Callable[[PlanRequest], Staircase]


class Builder:
    """Builds staircases, up to a number."""

    def __init__(self, build: Build, *, most: int) -> None:
        self._build, self.left, self.built = build, most, 0

    def hangs(self, request: PlanRequest, *, place: int, money_minor: int) -> bool:
        """Whether the work at this place hangs for a sum of money."""
        return self.staircase(request).at(money_minor).choice[place] >= 0

    def staircase(self, request: PlanRequest) -> Staircase:
        """All best shows of a changed request."""
        self.left -= 1
        self.built += 1
        return self._build(request)


def insist(request: PlanRequest, *, place: int) -> PlanRequest:
    """The same request, in which this work must hang."""
    return _with_work(request, place=place, work=replace(request.works[place], must_hang=True))


def _with_work(request: PlanRequest, *, place: int, work: WorkOptions) -> PlanRequest:
    works = (*request.works[:place], work, *request.works[place + 1 :])
    return replace(request, works=works)


def try_rules(request: PlanRequest, *, place: int, builder: Builder) -> Iterator[Change]:
    """The rules without which, one at a time, some show has the work."""
    work = request.works[place]
    insisted = insist(request, place=place)
    works = tuple(replace(one, must_hang=one.code == work.code) for one in request.works)
    loosened = (
        (Rule.PIN, _with_work(insisted, place=place, work=replace(work, must_hang=True, pin=None))),
        (Rule.PAIRS, _unpaired(insisted, code=work.code)),
        (Rule.SERIES, replace(insisted, series_share_finish=False)),
        (Rule.FINISHES, replace(insisted, most_finishes=None)),
        (Rule.MUST_HANG, replace(insisted, works=works)),
    )
    for rule, changed in loosened:
        if changed != insisted and builder.left > 0:
            steps = builder.staircase(changed).steps
            if any(step.choice[place] >= 0 for step in steps):
                yield Change(Kind.RULE, rule=rule)


def _unpaired(request: PlanRequest, *, code: str) -> PlanRequest:
    """The same request without what it says of this work beside others."""
    apart = tuple(pair for pair in request.apart if code not in pair)
    return replace(request, apart=apart, together=tuple(one for one in request.together if code not in one))


def try_longer_walls(request: PlanRequest, *, place: int, money_minor: int, builder: Builder) -> Iterator[Change]:
    """The wall that has to grow least, if growing by the work's whole width hangs it at all."""
    work = request.works[place]
    walls = [wall for wall in request.walls if work.pin is None or wall.code == work.pin.wall_code]
    gap_mm = max((wall.gap_mm(otherwise_mm=request.min_gap_mm) for wall in walls), default=0)
    widest_mm = max(option.width_mm for option in work.options) + 2 * gap_mm
    most = -(-widest_mm // WALL_GRAIN_MM)

    def hangs(lengthened: Sequence[WallSpec], grains: int) -> bool:
        longer = _lengthen(request, walls=lengthened, by_mm=grains * WALL_GRAIN_MM)
        return builder.hangs(longer, place=place, money_minor=money_minor)

    if not walls or builder.left < 2 or not hangs(walls, most):
        return
    found: tuple[int, WallSpec] | None = None
    for wall in walls:
        limit = found[0] - 1 if found else most
        if limit > 0 and builder.left > 0 and hangs([wall], limit):
            found = (_least(partial(hangs, [wall]), most=limit, builder=builder), wall)
    if found:
        amount_mm, wall = found[0] * WALL_GRAIN_MM, found[1]
        yield Change(Kind.WALL, amount_mm, wall.width_mm + amount_mm, wall_code=wall.code)


def _lengthen(request: PlanRequest, *, walls: Sequence[WallSpec], by_mm: int) -> PlanRequest:
    """The same room with these walls longer at their right ends."""
    codes = {wall.code for wall in walls}
    longer = tuple(
        replace(wall, width_mm=wall.width_mm + by_mm) if wall.code in codes else wall for wall in request.walls
    )
    return replace(request, walls=longer)


def try_more_printing(
    request: PlanRequest, *, place: int, now: Step, money_minor: int, builder: Builder
) -> Iterator[Change]:
    """More printer time, where what hangs now leaves too little of it for the work."""
    options = request.works[place].options
    used = sum(
        work.options[picked].printer_seconds
        for work, picked in zip(request.works, now.choice, strict=True)
        if picked >= 0
    )
    longest = max(option.printer_seconds for option in options)
    if used + longest <= request.printer_seconds or builder.left < 1:
        return
    most = -(-longest // PRINTER_GRAIN_SECONDS)

    def hangs(grains: int) -> bool:
        seconds = request.printer_seconds + grains * PRINTER_GRAIN_SECONDS
        return builder.hangs(replace(request, printer_seconds=seconds), place=place, money_minor=money_minor)

    if hangs(most):
        amount = _least(hangs, most=most, builder=builder) * PRINTER_GRAIN_SECONDS
        yield Change(Kind.PRINTER, amount, request.printer_seconds + amount)


def _least(hangs: Callable[[int], bool], *, most: int, builder: Builder) -> int:
    """A number of grains that hangs the work while one less does not; 0 is known not to, `most` to hang it."""
    low, high = 0, most
    while high - low > 1 and builder.left > 0:
        middle = (low + high) // 2
        if hangs(middle):
            high = middle
        else:
            low = middle
    return high
