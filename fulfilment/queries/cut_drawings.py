"""What the cutting table is shown: a sheet or length drawn to scale, its cuts in order and in figures, its prints."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from campaign.measures.lengths import format_length, format_sixteenths, format_size
from campaign.models import Show
from fulfilment.drawing.cut_sheet import DrawnSheet, draw_sheet
from fulfilment.models import Nest, PaperStock
from fulfilment.nesting import Knife, Spot, cut_apart
from fulfilment.nesting.laying import Part
from fulfilment.packing import write_numbers
from fulfilment.queries.nests import (
    LaidPaper,
    LaidPrint,
    NestPage,
    PartState,
    find_nest,
    list_earlier,
    load_prints,
    read_nest_page,
)
from fulfilment.queries.print_list import PrintLine, PrintList, read_print_list

PAGE_FONT, PAPER_FONT = 310, 230  # of 10,000 units: on a phone's page letters have to be larger than on paper
POSITIONS = "abcdefghijklmnopqrstuvwxyz"
# Of one PDF: some seconds of a web process. A single drawing with more prints has one of its own.
MOST_DRAWINGS, MOST_DRAWN_PRINTS = 25, 150


@dataclass(frozen=True, slots=True)
class LainPrint:
    """A print on a sheet: where it lies, what it was called when it was laid, and its line in the list now."""

    place: str
    spot: Spot
    called: LaidPrint | None
    line: PrintLine | None
    is_moved: bool = False

    @property
    def label(self) -> str:
        """What drawings call it; paper kept back has no print yet."""
        return self.called.label if self.called else "spare"


@dataclass(frozen=True, slots=True)
class CutDrawing:
    """
    A sheet or length with its drawing; `alike` are the numbers of others that lie the same, itself first.

    `name` is "Sheet 3" or "Length 3".
    """

    state: PartState
    name: str
    drawn: DrawnSheet
    cuts: tuple[Knife, ...]
    prints: tuple[LainPrint, ...]
    alike: tuple[tuple[int, tuple[str, ...]], ...] = ()

    @property
    def numbers(self) -> str:
        """The numbers of all that lie alike: 1–4, 9."""
        return write_numbers(number for number, _ in self.alike).replace("-", "–")

    @property
    def is_to_be_ticked(self) -> bool:
        """Something on it is to be printed here."""
        return any(line.printed_at is None for line in self.state.here)

    @property
    def part(self) -> Part:
        """How it lies."""
        return self.state.part

    @property
    def width_mm(self) -> int:
        """Of the sheet or length."""
        return self.part.width_mm

    @property
    def height_mm(self) -> int:
        """Of the sheet or length."""
        return self.part.height_mm


@dataclass(frozen=True, slots=True)
class Booklet:
    """
    Drawings that are made into one PDF: papers, each with those of its sheets or lengths that are in it.

    `number` counts from 1 to `of`.
    """

    number: int
    of: int
    papers: tuple[tuple[LaidPaper, tuple[PartState, ...]], ...]

    @property
    def name(self) -> str:
        """Cotton roll, lengths 1–25; Rag, sheet 1."""
        return "; ".join(_span(paper, states) for paper, states in self.papers)


@dataclass(frozen=True, slots=True)
class Cutting:
    """
    The page: the nest that is asked for or the newest, None before the first; the paper and the drawing that are open.

    `stocks` are the papers that something to be printed goes on; `earlier` are older nests.
    """

    listed: PrintList
    nest: NestPage | None
    is_newest: bool
    paper: LaidPaper | None
    drawing: CutDrawing | None
    stocks: tuple[PaperStock, ...]
    earlier: tuple[Nest, ...]

    def is_what(self, asked: Mapping[str, str]) -> bool:
        """Whether nest, paper and part are just those that were asked for, and none stands in for another."""
        if self.nest is None or self.paper is None or self.drawing is None:
            return False
        found = (self.nest.nest.code, self.paper.code, str(self.drawing.part.number))
        return found == (asked.get("nest"), asked.get("paper"), asked.get("part"))

    @property
    def booklets(self) -> tuple[Booklet, ...]:
        """The PDFs in which its drawings come, one where they are few."""
        return split_drawings(self.nest) if self.nest else ()

    @property
    def most(self) -> tuple[int, int]:
        """Drawings and prints that one PDF takes."""
        return MOST_DRAWINGS, MOST_DRAWN_PRINTS

    @property
    def neighbours(self) -> tuple[int | None, int | None]:
        """The numbers of the parts before and after the open one."""
        if self.paper is None or self.drawing is None:
            return None, None
        number = self.drawing.part.number
        before, after = self.paper.find(number - 1), self.paper.find(number + 1)
        return (before.part.number if before else None), (after.part.number if after else None)


def read_cutting(show: Show, *, asked: Mapping[str, str]) -> Cutting:
    """
    The page of cut drawings; `asked` may name nest, paper and part, else the first part that is to be printed opens.

    Two queries more than the print list.
    """
    listed = read_print_list(show)
    stocks = tuple(stock for stock, _, _ in listed.allowances)
    nest = find_nest(show, code=asked.get("nest", ""))
    earlier = list_earlier(show)
    if nest is None:
        return Cutting(listed, None, True, None, None, stocks, earlier)
    page = read_nest_page(nest, listed=listed)
    waiting = next((one for one in page.papers if one.next_part), page.papers[0] if page.papers else None)
    paper = page.find(asked.get("paper", "")) or waiting
    drawing = None
    if paper is not None and paper.states:
        number = asked.get("part", "")
        found = paper.find(int(number)) if number.isascii() and number.isdecimal() and len(number) < 6 else None
        state = found or paper.next_part or paper.states[0]
        drawing = draw_part(nest, paper=paper, state=state, unit=show.length_unit)
    return Cutting(listed, page, nest not in earlier, paper, drawing, stocks, earlier)


def draw_part(nest: Nest, *, paper: LaidPaper, state: PartState, unit: str) -> CutDrawing:
    """One sheet or length of a nest. No query."""
    return _draw(nest, paper=paper, states=[state], unit=unit, font=PAGE_FONT)


def find_booklet(show: Show, *, nest: Nest, number: str) -> Booklet | None:
    """The drawings of a nest that are in the PDF of that number, the first where none is said."""
    booklets = split_drawings(read_nest_page(nest, listed=read_print_list(show)))
    return next((one for one in booklets if str(one.number) == (number or "1")), None)


def split_drawings(page: NestPage) -> tuple[Booklet, ...]:
    """
    All sheets and lengths of a nest in their order, in as few PDFs as the limits of one allow. No query.

    What lies alike is one drawing, within the same PDF.
    """
    books: list[list[tuple[LaidPaper, list[PartState]]]] = [[]]
    drawings = prints = 0
    for paper in page.papers:
        books[-1].append((paper, []))
        shapes: set[tuple[object, ...]] = set()
        for state in paper.states:
            shape, count = _shape(state.part), len(state.part.spots)
            if not state.part.is_kept_back:
                if drawings and (
                    drawings + (shape not in shapes) > MOST_DRAWINGS or prints + count > MOST_DRAWN_PRINTS
                ):
                    books.append([(paper, [])])
                    shapes, drawings, prints = set(), 0, 0
                drawings, prints = drawings + (shape not in shapes), prints + count
                shapes.add(shape)
            books[-1][-1][1].append(state)
    return tuple(
        Booklet(
            number, len(books), tuple((paper, tuple(states)) for paper, states in book if states or not paper.states)
        )
        for number, book in enumerate(books, start=1)
    )


def _span(paper: LaidPaper, states: Sequence[PartState]) -> str:
    if not states:
        return paper.name
    what, first, last = "length" if paper.is_roll else "sheet", states[0].part.number, states[-1].part.number
    return f"{paper.name}, {what} {first}" if first == last else f"{paper.name}, {what}s {first}–{last}"


def draw_all(nest: Nest, *, paper: LaidPaper, states: Sequence[PartState], unit: str) -> Iterator[CutDrawing]:
    """
    Those of the sheets or lengths of a paper that are printed on, those that lie alike drawn once. No query.

    Alike: the same places on the same size, whichever prints lie there.
    """
    groups: dict[tuple[object, ...], list[PartState]] = {}
    for state in states:
        if not state.part.is_kept_back:
            groups.setdefault(_shape(state.part), []).append(state)
    for alike in groups.values():
        yield _draw(nest, paper=paper, states=alike, unit=unit, font=PAPER_FONT)


def _shape(part: Part) -> tuple[object, ...]:
    places = tuple((spot.x_mm, spot.y_mm, spot.width_mm, spot.height_mm) for spot in part.spots)
    return part.width_mm, part.height_mm, places


def _draw(nest: Nest, *, paper: LaidPaper, states: list[PartState], unit: str, font: int) -> CutDrawing:
    named, state = load_prints(nest), states[0]
    part = state.part
    cuts = cut_apart(part.spots, width_mm=part.width_mm, height_mm=part.height_mm)
    prints = tuple(
        LainPrint(place_name(at), spot, named.get(spot.code), line, is_moved=spot.code in state.moved)
        for at, (spot, line) in enumerate(zip(part.spots, state.lines, strict=True))
    )
    is_group = len(states) > 1
    words = {
        one.spot.code: (
            one.place if is_group else one.label,
            format_size(one.spot.width_mm, one.spot.height_mm, unit=unit),
            one.called.border_mm if one.called else 0,
        )
        for one in prints
    }
    drawn = draw_sheet(
        part.spots,
        width_mm=part.width_mm,
        height_mm=part.height_mm,
        cuts=cuts,
        words=words,
        figure=partial(cut_figure, unit=unit),
        font=font,
    )
    alike = tuple((one.part.number, one.labels) for one in states if is_group)
    return CutDrawing(state, part_name(paper, part), drawn, cuts, prints, alike)


def part_name(paper: LaidPaper, part: Part) -> str:
    """Sheet 3, or length 3 of a roll."""
    return f"{'Length' if paper.is_roll else 'Sheet'} {part.number}"


def place_name(at: int) -> str:
    """a, b … z, then a2, b2 …"""
    turn, letter = divmod(at, len(POSITIONS))
    return POSITIONS[letter] + (str(turn + 1) if turn else "")


def cut_figure(mm: int, *, unit: str) -> str:
    """
    A length as a tape shows it, without its unit.

    >>> cut_figure(605, unit="cm"), cut_figure(605, unit="in")
    ('60.5', '23 13/16')
    """
    return format_sixteenths(mm) if unit == "in" else format_length(mm, unit=unit).removesuffix(f" {unit}")
