"""What is to be bought for printing: paper as the layout takes it, in whole rolls and packs; ink after the shelf."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from campaign.models import Show
from campaign.planning import CostLine, FinishSpec, RecipeLine
from campaign.planning.costing.bills import purchase_line
from campaign.planning.costing.purchases import purchase
from campaign.planning.costing.recipe_lines import Extent, need_micro
from campaign.planning.costing.supplies import supplies_for
from campaign.planning.specs import Basis
from campaign.queries.price_book import PriceBook, read_price_book, wording_of
from fulfilment.models import PaperStock
from fulfilment.queries.nests import LaidPaper, NestPage, find_nest, read_nest_page
from fulfilment.queries.print_list import PrintLine, PrintList, read_print_list


@dataclass(frozen=True, slots=True)
class PaperPurchase:
    """
    One paper: what the layout uses of it, what of that is there, what is bought and left over; millimetres or sheets.

    `packs` are whole rolls or packs; `kept_back` how many sheets or lengths are for prints that may be spoiled.
    """

    stock: PaperStock
    used: int
    there: int
    packs: int
    left: int
    kept_back: int

    @property
    def cost_minor(self) -> int:
        """What they cost together."""
        return self.packs * self.stock.price_minor

    @property
    def bought(self) -> int:
        """Sheets or millimetres in what is bought."""
        return self.packs * (self.stock.pack_mm if self.stock.is_roll else self.stock.pack_sheets)


@dataclass(frozen=True, slots=True)
class ShoppingList:
    """
    The list; `nest` None before anything is laid out, then without paper. `gone` are papers taken away since.

    `ink` is for all prints there are, those that are made already and the spoiled ones included, as the shelf was
    counted before any of them; `ink_to_buy` those lines of it of which something is bought. `without_paper` counts
    prints that no paper is said for. `planned` is what the plan of the show reckons for the walls of the same things.
    """

    nest: NestPage | None
    paper: tuple[PaperPurchase, ...]
    gone: tuple[str, ...]
    ink: tuple[CostLine, ...]
    prints: int
    is_fixed: bool
    planned: tuple[CostLine, ...] = ()
    ink_to_buy: tuple[CostLine, ...] = ()
    without_paper: int = 0

    @property
    def has_to_buy(self) -> bool:
        """Something is to be bought, whatever it costs."""
        return any(one.packs for one in self.paper) or bool(self.ink_to_buy)

    @property
    def is_all_there(self) -> bool:
        """Nothing is to be bought, and nothing that is to be printed is left out of the reckoning."""
        if self.nest is None or self.has_to_buy:
            return False
        is_whole = self.nest.is_current and not (self.nest.recounted or self.nest.too_large)
        return is_whole and not (self.gone or self.without_paper)

    @property
    def unpriced(self) -> tuple[str, ...]:
        """What is to be bought and has a price of 0."""
        paper = tuple(one.stock.name for one in self.paper if one.packs and not one.cost_minor)
        return paper + tuple(line.text for line in self.ink_to_buy if not line.amount_minor)

    @property
    def paper_minor(self) -> int:
        """What the paper costs."""
        return sum(one.cost_minor for one in self.paper)

    @property
    def ink_minor(self) -> int:
        """What the ink costs."""
        return sum(line.amount_minor for line in self.ink)

    @property
    def total_minor(self) -> int:
        """Everything together."""
        return self.paper_minor + self.ink_minor


def read_shopping(show: Show) -> ShoppingList:
    """What `show` has to buy for printing; six queries more than the print list."""
    listed = read_print_list(show)
    nest = find_nest(show)
    page = read_nest_page(nest, listed=listed) if nest else None
    stocks = {stock.code: stock for stock in listed.papers.stocks}
    papers, book = page.papers if page else (), read_price_book(show)
    inks = {
        line.item.code for finish in book.finishes.values() for line in finish.lines if line.basis == Basis.INK_AREA
    }
    ink = _ink(show, lines=listed.lines, book=book) if listed.lines else ()
    return ShoppingList(
        nest=page,
        paper=tuple(_purchase(paper, stock=stocks[paper.code]) for paper in papers if paper.code in stocks),
        gone=tuple(paper.name for paper in papers if paper.code not in stocks),
        ink=tuple(line for line, _ in ink),
        prints=sum(1 + line.history.spoilings for line in listed.lines),
        is_fixed=listed.is_fixed,
        planned=_planned(show, listed=listed, codes=inks | {stock.item_code for stock in stocks.values()}),
        ink_to_buy=tuple(line for line, is_bought in ink if is_bought),
        without_paper=len(listed.without_paper),
    )


def _planned(show: Show, *, listed: PrintList, codes: Collection[str]) -> tuple[CostLine, ...]:
    """What the plan buys of these entries of the price book."""
    if listed.plan is None or listed.request is None:
        return ()
    supplies, wording = {supply.code: supply for supply in listed.request.supplies}, wording_of(show)
    return tuple(
        purchase_line(bought, supply=supplies[bought.supply_code], wording=wording)
        for bought in listed.plan.purchases
        if bought.supply_code in codes
    )


def _purchase(paper: LaidPaper, *, stock: PaperStock) -> PaperPurchase:
    """By the layout: what it uses, and of that what has to be bought, in whole packs."""
    if not paper.is_roll:
        used, there = len(paper.laid.parts), paper.paper.there_sheets
        packs = -(-paper.laid.bought // max(1, stock.pack_sheets))
        return PaperPurchase(stock, used, there, packs, there + packs * stock.pack_sheets - used, paper.kept_back)
    used, there = paper.used_mm, paper.paper.there_mm
    packs = paper.laid.bought
    return PaperPurchase(stock, used, there, packs, there + packs * stock.pack_mm - used, paper.kept_back)


def _ink(show: Show, *, lines: Sequence[PrintLine], book: PriceBook) -> tuple[tuple[CostLine, bool], ...]:
    """
    What recipes take by ink coverage and is bought in packs or lies on the shelf, for walls and copies together.

    Returns: lines, each with whether something of it has to be bought.
    """
    coverage = dict(show.works.values_list("code", "coverage_percent"))
    of_edition = dict(show.editions.exclude(work=None).values_list("code", "work__coverage_percent"))
    needed: defaultdict[str, int] = defaultdict(int)
    for line in lines:
        percent = coverage.get(line.chosen[0], 100) if line.chosen else of_edition.get(line.edition_code)
        wide, high = line.width_mm - 2 * line.border_mm, line.height_mm - 2 * line.border_mm
        extent = Extent(wide, high, wide, high, 100 if percent is None else percent)
        for taken in _taken(line, finishes=book.finishes):
            needed[taken.item.code] += need_micro(taken, extent=extent) * (1 + line.history.spoilings)
    supplies = {supply.code: supply for supply in supplies_for(book.items.values())}
    wording = wording_of(show)
    bought = [(supply, purchase(supply, needed[code])) for code, supply in supplies.items() if needed[code]]
    return tuple((purchase_line(one, supply=supply, wording=wording), one.bought_micro > 0) for supply, one in bought)


def _taken(line: PrintLine, *, finishes: Mapping[str, FinishSpec]) -> tuple[RecipeLine, ...]:
    """The ink lines of a print's finish; a copy takes what the thirstiest finish printed at home takes of each item."""
    if line.chosen:
        finish = finishes.get(line.chosen[2])
        return tuple(one for one in finish.lines if one.basis == Basis.INK_AREA) if finish else ()
    most: dict[str, RecipeLine] = {}
    for one in (one for finish in finishes.values() if finish.printed_at_home for one in finish.lines):
        known = most.get(one.item.code)
        if one.basis == Basis.INK_AREA and (known is None or _rate(one) > _rate(known)):
            most[one.item.code] = one
    return tuple(most.values())


def _rate(line: RecipeLine) -> int:
    return line.quantity_milli * (10_000 + line.waste_bp)
