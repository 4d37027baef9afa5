"""What works that hang are offered for: wanted sums, the gallery's share, what making them costs; also as a trial."""

from collections.abc import Mapping
from dataclasses import dataclass

from campaign.models import Show, Work
from campaign.planning import Option, Plan, PlanRequest, SizeSpec
from campaign.planning.costing.making import Framing, frame_cost, making_costs
from campaign.planning.costing.recipe_lines import extent_of
from campaign.planning.errors import OverSizeTable
from campaign.planning.prices.wall_prices import (
    PriceList,
    SalePrice,
    SaleTerms,
    WorkForSale,
    price_list,
    sale_price,
    step_nets,
)
from campaign.queries.explain import find_fixed
from campaign.queries.plan_request import load_request
from campaign.queries.price_book import PriceBook, read_price_book
from campaign.queries.standing import load_plan, read_standing


@dataclass(frozen=True, slots=True)
class SaleTrial:
    """The figures a price list is worked out with: those that are stored, or some of them tried out."""

    commission_bp: int
    round_to_minor: int
    frames_pass_through: bool
    steps: int = 1
    raise_bp: int = 0

    @property
    def terms(self) -> SaleTerms:
        """The gallery's share and the rounding."""
        return SaleTerms(self.commission_bp, max(1, self.round_to_minor), self.frames_pass_through)


@dataclass(frozen=True, slots=True)
class WorkOnOffer:
    """A work that hangs and has a price; `later` are its prices at the later steps of its own edition."""

    sale: SalePrice
    later: tuple[SalePrice, ...]


@dataclass(frozen=True, slots=True)
class WallPrices:
    """
    The price list. `unpriced` hang and have no wanted sum yet; `steps` numbers the later steps shown.

    `is_fixed` tells that the works are those of the plan that closing fixed; before that they are what the money in
    hand buys, or, while it buys nothing, what it would buy if every open order were paid.
    """

    trial: SaleTrial
    works: tuple[WorkOnOffer, ...]
    unpriced: tuple[str, ...]
    total: PriceList
    is_fixed: bool
    hanging: int

    @property
    def steps(self) -> tuple[int, ...]:
        """The numbers of the later steps."""
        return tuple(range(2, self.trial.steps + 1))


def stored_terms(show: Show) -> SaleTrial:
    """The figures as they are kept."""
    return SaleTrial(show.commission_bp, show.sale_rounding_minor, show.frames_pass_through)


def read_wall_prices(show: Show, *, trial: SaleTrial) -> WallPrices:
    """The price list of `show` with the figures of `trial`; nothing is stored."""
    plan, request, is_fixed = _plan(show)
    rows = {work.code: work for work in show.works.all()}
    hanging = [planned.code for planned in plan.works if planned.code in rows] if plan else []
    for_sale = _for_sale(show, plan=plan, request=request, rows=rows) if plan and request else []
    return WallPrices(
        trial=trial,
        works=tuple(_offer(work, trial=trial) for work in for_sale),
        unpriced=tuple(rows[code].title for code in hanging if rows[code].net_minor is None),
        total=price_list(for_sale, terms=trial.terms),
        is_fixed=is_fixed,
        hanging=len(hanging),
    )


def list_wanted(show: Show) -> list[tuple[str, str, int | None]]:
    """Code, title and wanted sum of every work, in the artist's order."""
    return list(show.works.values_list("code", "title", "net_minor"))


def _plan(show: Show) -> tuple[Plan | None, PlanRequest | None, bool]:
    fixed = find_fixed(show) if show.closed_at is not None else None
    if fixed:
        return load_plan(fixed.plan), load_request(fixed.run.request), True
    standing = read_standing(show)
    plan = standing.now if standing.now and standing.now.works else standing.if_paid
    return plan, standing.request, False


def _for_sale(show: Show, *, plan: Plan, request: PlanRequest, rows: Mapping[str, Work]) -> list[WorkForSale]:
    by_code = {
        (option.work_code, option.size_code, option.finish_code): option
        for work in request.works
        for option in work.options
    }
    options = {work.code: by_code[work.code, work.size_code, work.finish_code] for work in plan.works}
    making = making_costs(plan, options=options)
    book = read_price_book(show)
    found = []
    for code, option in options.items():
        row = rows.get(code)
        if row is not None and row.net_minor is not None:
            frame = min(making[code], _frame_minor(option, row=row, book=book, plan=plan))
            found.append(WorkForSale(code, row.title, row.net_minor, making[code], frame))
    order = list(rows)
    return sorted(found, key=lambda work: order.index(work.code))


def _frame_minor(option: Option, *, row: Work, book: PriceBook, plan: Plan) -> int:
    """What the frame costs by the price book as it is now; nothing where finish or table are gone since."""
    finish = book.finishes.get(option.finish_code)
    if finish is None:
        return 0
    size = SizeSpec(option.size_code, option.print_width_mm, option.print_height_mm)
    extent = extent_of(size, finish, coverage_percent=row.coverage_percent)
    given = frozenset(item for item, _ in book.given.get(option.work_code, ()))
    try:
        return frame_cost(Framing(finish, extent, given), plan=plan)
    except OverSizeTable:
        return 0


def _offer(work: WorkForSale, *, trial: SaleTrial) -> WorkOnOffer:
    nets = step_nets(work.net_minor, steps=trial.steps, raise_bp=trial.raise_bp)
    prices = tuple(
        sale_price(WorkForSale(work.code, work.title, net, work.make_minor, work.frame_minor), terms=trial.terms)
        for net in nets
    )
    return WorkOnOffer(sale=prices[0], later=prices[1:])
