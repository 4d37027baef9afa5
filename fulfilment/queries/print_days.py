"""Day by day, what comes out of the printer: in order of need, within the artist's hours, with drying and framing."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from campaign.models import Show
from campaign.queries.show_days import read_days_off
from fulfilment.nesting.printing_days import Sheetful, Timed, fill_days
from fulfilment.packing.printing_pace import PrintingPace, reckon_pace
from fulfilment.queries.cut_drawings import part_name
from fulfilment.queries.nests import LaidPaper, NestPage, find_nest, read_nest_page
from fulfilment.queries.print_list import PrintLine, PrintList, read_print_list


@dataclass(frozen=True, slots=True)
class PrintGo:
    """
    What is printed in one go: a sheet or length of the layout, or a print that has no place in it yet.

    `paper` and `part` None for the latter; `lines` is what of it is to be printed.
    """

    name: str
    paper: LaidPaper | None
    part: int | None
    lines: tuple[PrintLine, ...]
    sheetful: Sheetful

    @property
    def seconds(self) -> int:
        """How long the printer takes."""
        return self.sheetful.seconds


@dataclass(frozen=True, slots=True)
class PlannedGo:
    """One of them on its day; late where what hangs of it, or a copy on it, is not ready by its date."""

    go: PrintGo
    timed: Timed
    is_late_for_hanging: bool
    is_late_for_posting: bool


@dataclass(frozen=True, slots=True)
class PlannedDay:
    """One day at the printer."""

    on: date
    seconds: int
    goes: tuple[PlannedGo, ...]

    @property
    def prints(self) -> int:
        """How many come out."""
        return sum(len(one.go.lines) for one in self.goes)


@dataclass(frozen=True, slots=True)
class PrintDaysPage:
    """
    The days that are left, from today on; `too_long` takes longer than a whole day's hours and is on none.

    `pace` is the artist's real one, from the marks; `by_itself` counts prints that have no place in a layout.
    """

    days: tuple[PlannedDay, ...]
    too_long: tuple[PrintGo, ...]
    seconds_a_day: int
    seconds_today: int
    pace: PrintingPace
    listed: PrintList
    nest: NestPage | None

    @property
    def last_on(self) -> date | None:
        """When the last of it comes out; None where nothing is left."""
        return self.days[-1].on if self.days else None

    @property
    def by_itself(self) -> int:
        """Prints that are reckoned one by one, because no layout has a place for them."""
        return sum(one.go.part is None for day in self.days for one in day.goes)

    @property
    def late(self) -> tuple[PlannedGo, ...]:
        """What is not ready in time."""
        found = (one for day in self.days for one in day.goes)
        return tuple(one for one in found if one.is_late_for_hanging or one.is_late_for_posting)


def read_print_days(show: Show, *, now: datetime) -> PrintDaysPage:
    """The print days of `show` from today on; four queries more than the print list."""
    listed = read_print_list(show)
    nest = find_nest(show)
    page = read_nest_page(nest, listed=listed) if nest else None
    today = now.astimezone(show.zone).date()
    printed = [(line, line.printed_at.astimezone(show.zone).date()) for line in listed.lines if line.printed_at]
    gone = sum(line.seconds for line, on in printed if on == today)
    a_day = max(1, show.print_hours_milli * 3600 // 1000)
    goes = {go.sheetful.code: go for go in _goes(show, listed=listed, page=page)}
    plan = fill_days(
        [go.sheetful for go in goes.values()],
        first_on=today,
        seconds_a_day=a_day,
        seconds_gone=gone,
        days_off=read_days_off(show),
    )
    times = {timed.code: timed for timed in plan.times}
    return PrintDaysPage(
        days=tuple(
            PlannedDay(day.on, day.seconds, tuple(_planned(goes[code], times[code], show=show) for code in day.codes))
            for day in plan.days
        ),
        too_long=tuple(goes[code] for code in plan.too_long),
        seconds_a_day=a_day,
        seconds_today=gone,
        pace=reckon_pace([on for _, on in printed], left=len(listed.to_print), today=today),
        listed=listed,
        nest=page,
    )


def _planned(go: PrintGo, timed: Timed, *, show: Show) -> PlannedGo:
    has_copies = any(line.copy for line in go.lines)
    return PlannedGo(
        go=go,
        timed=timed,
        is_late_for_hanging=timed.ready_on is not None and timed.ready_on > show.hang_on,
        is_late_for_posting=has_copies and timed.dry_on > show.posting_by_on,
    )


def _goes(show: Show, *, listed: PrintList, page: NestPage | None) -> Iterator[PrintGo]:
    """Sheets and lengths that are to be printed, then what has no place in the layout, print by print."""
    laid: set[str] = set()
    for paper in page.papers if page else ():
        for state in paper.states:
            lines = tuple(line for line in state.here if line.printed_at is None)
            if lines:
                laid.update(line.key for line in lines)
                code, name = f"{paper.code} {state.part.number}", part_name(paper, state.part)
                yield _go(lines, code=code, name=name, paper=paper, part=state.part.number, show=show)
    for line in listed.to_print:
        if line.key not in laid:
            yield _go((line,), code=line.key, name=line.title, paper=None, part=None, show=show)


def _go(
    lines: tuple[PrintLine, ...], *, code: str, name: str, paper: LaidPaper | None, part: int | None, show: Show
) -> PrintGo:
    hours = [line.paper.drying_hours for line in lines if line.paper]
    framing = [line.framing_days for line in lines if line.framing_days is not None]
    sheetful = Sheetful(
        code,
        sum(line.seconds for line in lines),
        framing_days=max(framing) if framing else None,
        drying_hours=max((show.drying_hours if one is None else one for one in hours), default=show.drying_hours),
    )
    return PrintGo(name, paper, part, lines, sheetful)
