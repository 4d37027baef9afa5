"""The paper that is set up, and which prints go on which of it: what the artist chose, or what is proposed."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from campaign.models import Edition, Finish, PriceItem, Show
from fulfilment.models import PaperChoice, PaperStock
from fulfilment.nesting.laying import Paper


@dataclass(frozen=True, slots=True)
class PaperUse:
    """
    Something that is printed at home, a finish or an edition, and its paper: `chosen` by the artist, or `proposed`.

    `why` says where the proposal comes from, "" where there is none. `border_mm`: white all round, for editions;
    `promised`: the paper that an edition names, where its own is called otherwise.
    """

    finish: Finish | None
    edition: Edition | None
    chosen: PaperStock | None
    proposed: PaperStock | None
    why: str
    border_mm: int = 0
    promised: str = ""

    @property
    def name(self) -> str:
        """What is printed."""
        return str(self.finish or self.edition)

    @property
    def paper(self) -> PaperStock | None:
        """What it goes on."""
        return self.chosen or self.proposed


@dataclass(frozen=True, slots=True)
class Papers:
    """Every paper of a show, and what goes on it; finishes and editions in the artist's order."""

    stocks: tuple[PaperStock, ...]
    finishes: tuple[PaperUse, ...]
    editions: tuple[PaperUse, ...]

    @property
    def uses(self) -> tuple[PaperUse, ...]:
        """Finishes and editions."""
        return self.finishes + self.editions

    def of_finish(self, code: str) -> PaperUse | None:
        """That of a finish printed at home, by its code."""
        return next((use for use in self.finishes if use.finish and use.finish.code == code), None)

    def of_edition(self, edition: Edition) -> PaperUse | None:
        """That of an edition."""
        return next((use for use in self.editions if use.edition == edition), None)


def read_papers(show: Show) -> Papers:
    """The papers of `show` and what goes on them; six queries."""
    stocks = tuple(PaperStock.objects.filter(show=show))
    choices = list(PaperChoice.objects.filter(show=show).select_related("stock"))
    of_finish = {choice.finish_code: choice for choice in choices if choice.finish_code}
    of_edition = {choice.edition_id: choice for choice in choices if choice.edition_id}
    names = dict(PriceItem.objects.filter(show=show).values_list("code", "name"))
    finishes = show.finishes.filter(is_printed_at_home=True).prefetch_related("recipe_lines__item")
    return Papers(
        stocks,
        tuple(_finish_use(finish, choice=of_finish.get(finish.code), stocks=stocks) for finish in finishes),
        tuple(
            _edition_use(edition, choice=of_edition.get(edition.pk), stocks=stocks, names=names)
            for edition in show.editions.all()
        ),
    )


def _finish_use(finish: Finish, *, choice: PaperChoice | None, stocks: Sequence[PaperStock]) -> PaperUse:
    items = {line.item.code: line.item.name for line in finish.recipe_lines.all()}
    proposed, why = propose(
        stocks,
        fitting={
            stock.code: f"its recipe takes {items[stock.item_code]}" for stock in stocks if stock.item_code in items
        },
    )
    return PaperUse(finish, None, choice.stock if choice else None, proposed, why)


def _edition_use(
    edition: Edition, *, choice: PaperChoice | None, stocks: Sequence[PaperStock], names: Mapping[str, str]
) -> PaperUse:
    said = edition.paper.casefold()
    fitting = {
        stock.code: f"the edition says {edition.paper}"
        for stock in stocks
        if said and any(said in name.casefold() for name in (stock.name, names.get(stock.item_code, "")))
    }
    proposed, why = propose(stocks, fitting=fitting)
    chosen = choice.stock if choice else None
    paper = chosen or proposed
    promised = edition.paper if said and paper and paper.code not in fitting else ""
    return PaperUse(None, edition, chosen, proposed, why, choice.border_mm if choice else 0, promised)


def propose(stocks: Sequence[PaperStock], *, fitting: Mapping[str, str]) -> tuple[PaperStock | None, str]:
    """
    The paper to propose, and why: the only one there is, or the only one that is `fitting` (code -> why); else none.
    """
    if len(stocks) == 1:
        return stocks[0], "it is the only paper there is"
    found = [stock for stock in stocks if stock.code in fitting]
    return (found[0], fitting[found[0].code]) if len(found) == 1 else (None, "")


def paper_of(stock: PaperStock) -> Paper:
    """The paper as prints are laid on it."""
    return Paper(
        width_mm=stock.width_mm,
        height_mm=stock.height_mm,
        margin_mm=stock.margin_mm,
        lead_mm=stock.lead_mm,
        tail_mm=stock.tail_mm,
        gap_mm=stock.gap_mm,
        there_mm=stock.there_mm,
        pack_mm=stock.pack_mm,
        there_sheets=stock.there_sheets,
        can_turn=stock.can_turn,
    )


def spares_of(stock: PaperStock, *, prints: int) -> int:
    """For how many spoiled ones paper is kept back, where so many are still to be printed; never more than those."""
    return min(prints, -(-prints * stock.spoil_bp // 10_000) + stock.spare_prints)


def find_paper(show: Show, *, code: str) -> PaperStock | None:
    """A paper of `show`."""
    return PaperStock.objects.filter(show=show, code=code).first() if "\0" not in code else None


def list_price_items(show: Show) -> list[tuple[str, str]]:
    """Code and name of what the price book has, for choosing; one query."""
    return list(PriceItem.objects.filter(show=show).order_by("name").values_list("code", "name"))


def paper_start(stock: PaperStock | None, *, fields: Iterable[str]) -> dict[str, Any]:
    """What stands in the form of a paper at first; usual figures for one that is not set up yet."""
    if stock is not None:
        return {name: getattr(stock, name) for name in fields}
    return {"margin_mm": 5, "gap_mm": 4, "lead_mm": 20, "tail_mm": 20, "can_turn": True, "spoil_bp": 500}
