"""Nests as they are kept: how prints lie on their paper, read back and held against what is to be printed now."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from campaign.models import Show
from fulfilment.models import Nest, PaperStock
from fulfilment.nesting import Spot
from fulfilment.nesting.laying import Laid, Paper, Part
from fulfilment.queries.paper_stock import paper_of
from fulfilment.queries.print_list import Chosen, PrintLine, PrintList

# What of a paper says how prints lie on it; what is there of it changes with every print day.
_COUNTS = ("there_mm", "there_sheets")


@dataclass(frozen=True, slots=True)
class LaidPrint:
    """What a print was called when it was laid."""

    key: str
    label: str
    title: str
    detail: str
    border_mm: int


def _by_edition(named: Iterable[tuple[str, int] | None]) -> dict[str, list[int]]:
    found: defaultdict[str, list[int]] = defaultdict(list)
    for code, number in (one for one in named if one is not None):
        found[code].append(number)
    return dict(found)


@dataclass(frozen=True, slots=True)
class PartState:
    """
    A sheet or length; in the order of its spots, what its prints were called and their lines in the list now.

    A line is None where the print is no longer wanted, or where paper is kept back; `moved` are keys of prints that
    need another place, because they were spoiled or changed since, or have come out in another place already.
    """

    part: Part
    labels: tuple[str, ...]
    lines: tuple[PrintLine | None, ...]
    moved: frozenset[str] = frozenset()

    @property
    def here(self) -> tuple[PrintLine, ...]:
        """Its prints that are still wanted, and here."""
        return tuple(line for line in self.lines if line is not None and line.key not in self.moved)

    @property
    def chosen(self) -> tuple[Chosen, ...]:
        """Its prints for the walls that are still wanted."""
        return tuple(line.chosen for line in self.here if line.chosen)

    @property
    def copies(self) -> dict[str, list[int]]:
        """Its copies that are still wanted: numbers by code of edition."""
        return _by_edition(line.copy for line in self.here)

    @property
    def proofs(self) -> dict[str, list[int]]:
        """Its artist's proofs: numbers by code of edition."""
        return _by_edition(line.proof for line in self.here)

    @property
    def printed(self) -> int:
        """How many of its prints have come out well."""
        return sum(line.printed_at is not None for line in self.here)

    @property
    def is_done(self) -> bool:
        """Nothing of it is to be printed any more."""
        return not self.part.is_kept_back and all(line.printed_at for line in self.here)


@dataclass(frozen=True, slots=True)
class LaidPaper:
    """One paper of a nest: how it was set up then, its parts, and what did not go on it."""

    code: str
    name: str
    paper: Paper
    laid: Laid
    states: tuple[PartState, ...]
    too_large: tuple[LaidPrint, ...]

    @property
    def is_roll(self) -> bool:
        """A roll; otherwise sheets."""
        return self.paper.height_mm == 0

    @property
    def kept_back(self) -> int:
        """How many parts are kept back for what may be spoiled."""
        return sum(part.is_kept_back for part in self.laid.parts)

    @property
    def done(self) -> int:
        """How many parts are printed."""
        return sum(state.is_done and state.printed > 0 for state in self.states)

    @property
    def used_mm(self) -> int:
        """How much of all rolls is used together."""
        return sum(part.height_mm for part in self.laid.parts)

    @property
    def next_part(self) -> PartState | None:
        """The first one that is still to be printed."""
        return next((state for state in self.states if not state.is_done and not state.part.is_kept_back), None)

    def find(self, number: int) -> PartState | None:
        """The part of that number."""
        return next((state for state in self.states if state.part.number == number), None)


@dataclass(frozen=True, slots=True)
class NestPage:
    """
    A nest held against the print list as it is now.

    `not_laid`: what is to be printed and lies nowhere in it; `gone`: what lies in it and is not wanted any more;
    `changed`: names of papers that were set up otherwise since; `recounted`: papers of which another quantity is there
    than it was laid on, so that what is to be bought may be another, while drawings hold.
    """

    nest: Nest
    papers: tuple[LaidPaper, ...]
    not_laid: tuple[PrintLine, ...]
    gone: tuple[LaidPrint, ...]
    changed: tuple[str, ...]
    recounted: tuple[PaperStock, ...] = ()

    @property
    def is_current(self) -> bool:
        """Nothing has changed that would lie otherwise now."""
        return not (self.not_laid or self.gone or self.changed)

    @property
    def too_large(self) -> int:
        """How many prints are larger than their paper."""
        return sum(len(paper.too_large) for paper in self.papers)

    def find(self, code: str) -> LaidPaper | None:
        """The paper of that code."""
        return next((paper for paper in self.papers if paper.code == code), None)


def find_nest(show: Show, *, code: str = "") -> Nest | None:
    """The newest nest of `show`, or the one of that code."""
    nests = Nest.objects.filter(show=show)
    return (nests.filter(code=code) if code and "\0" not in code else nests).first()


def list_earlier(show: Show, *, most: int = 6) -> tuple[Nest, ...]:
    """Nests before the newest, newest first: what is printed and not cut yet may lie in them."""
    return tuple(Nest.objects.filter(show=show).defer("layout")[1 : most + 1])


def dump_nest(papers: Sequence[tuple[PaperStock, Paper, Laid]], *, lines: Sequence[PrintLine]) -> dict[str, Any]:
    """The layout of a nest as JSON values, complete in itself."""
    return {
        "papers": [
            {
                "code": stock.code,
                "name": stock.name,
                "paper": asdict(paper),
                "parts": [_plain(part) for part in laid.parts],
                "too_large": list(laid.too_large),
            }
            for stock, paper, laid in papers
        ],
        "prints": {line.key: [line.label, line.title, line.detail, line.border_mm] for line in lines},
    }


def _plain(part: Part) -> dict[str, Any]:
    spots = [[s.code, s.x_mm, s.y_mm, s.width_mm, s.height_mm, s.is_turned] for s in part.spots]
    return {**asdict(part), "spots": spots}


def load_parts(layout: Mapping[str, Any]) -> list[tuple[str, str, Paper, Laid]]:
    """Code and name of each paper of a layout, how it was set up, and its parts."""
    return [
        (
            one["code"],
            one["name"],
            Paper(**one["paper"]),
            Laid(
                tuple(Part(**{**part, "spots": tuple(Spot(*spot) for spot in part["spots"])}) for part in one["parts"]),
                tuple(one["too_large"]),
            ),
        )
        for one in layout["papers"]
    ]


def read_nest_page(nest: Nest, *, listed: PrintList) -> NestPage:
    """A nest held against the print list. No query."""
    now = {line.key: line for line in listed.lines}
    named, loaded = load_prints(nest), load_parts(nest.layout)
    lies = {spot.code: (code, spot) for code, _, _, laid in loaded for part in laid.parts for spot in part.spots}
    too_large = {(code, key) for code, _, _, laid in loaded for key in laid.too_large}
    not_laid = tuple(
        line
        for line in listed.to_print
        if line.paper
        and (line.paper.code, line.key) not in too_large
        and not _lies_there(line, lies.get(line.key), made_at=nest.made_at)
    )
    stocks = {stock.code: stock for stock in listed.papers.stocks}
    # What was spoiled here and is printed since came out elsewhere: whoever cuts by this layout finds the spoiled one.
    spoiled = (line.key for line in listed.lines if line.key in lies and _is_spoiled(line, made_at=nest.made_at))
    moved = frozenset(line.key for line in not_laid).union(spoiled)
    papers = tuple(
        LaidPaper(
            code=code,
            name=name,
            paper=paper,
            laid=laid,
            states=tuple(_state(part, named=named, now=now, moved=moved) for part in laid.parts),
            too_large=tuple(named[key] for key in laid.too_large),
        )
        for code, name, paper, laid in loaded
    )
    return NestPage(
        nest=nest,
        papers=papers,
        not_laid=not_laid,
        gone=tuple(named[key] for key in lies if key not in now and key in named),
        changed=tuple(
            name
            for code, name, paper, _ in loaded
            if code not in stocks or _set_up(paper_of(stocks[code])) != _set_up(paper)
        ),
        recounted=tuple(
            stocks[one.code]
            for one in papers
            if one.code in stocks and _is_recounted(stocks[one.code], laid=one, made_at=nest.made_at)
        ),
    )


def _is_recounted(stock: PaperStock, *, laid: LaidPaper, made_at: datetime) -> bool:
    """Whether what is there is not what was there then; the same figure is another one once some of it is used up."""
    if (stock.there_mm, stock.there_sheets) != (laid.paper.there_mm, laid.paper.there_sheets):
        return True
    return stock.counted_at > made_at and any(state.printed for state in laid.states)


def _state(
    part: Part, *, named: Mapping[str, LaidPrint], now: Mapping[str, PrintLine], moved: frozenset[str]
) -> PartState:
    labels = tuple(named[spot.code].label if spot.code in named else "spare" for spot in part.spots)
    return PartState(part, labels, tuple(now.get(spot.code) for spot in part.spots), moved)


def _lies_there(line: PrintLine, found: tuple[str, Spot] | None, *, made_at: datetime) -> bool:
    """Whether a print still has its place: it was not spoiled since, and has the size and paper that were laid."""
    if found is None or line.paper is None:
        return False
    paper_code, spot = found
    is_alike = {spot.width_mm, spot.height_mm} == {line.width_mm, line.height_mm} and paper_code == line.paper.code
    return is_alike and not _is_spoiled(line, made_at=made_at)


def _is_spoiled(line: PrintLine, *, made_at: datetime) -> bool:
    return line.history.spoiled_at is not None and line.history.spoiled_at >= made_at


def _set_up(paper: Paper) -> dict[str, Any]:
    return {name: value for name, value in asdict(paper).items() if name not in _COUNTS}


def load_prints(nest: Nest) -> dict[str, LaidPrint]:
    """What prints were called when they were laid, by key."""
    return {key: LaidPrint(key, *words) for key, words in nest.layout["prints"].items()}
