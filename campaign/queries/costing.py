"""What things cost as the pages of Measure list it: price book with its age, finishes worked out, gifts in kind."""

from collections import Counter
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from campaign.models import Finish, GiftInKind, PriceItem, Show, Size
from campaign.planning import CostLine, FinishSpec, SizeSpec, not_offered, over_table
from campaign.planning.costing.recipe_lines import cost_lines, extent_of
from campaign.planning.errors import OverSizeTable
from campaign.queries.plan_request import read_works, request_of
from campaign.queries.price_book import PriceBook, read_price_book, wording_of

_A3 = (297, 420)


@dataclass(frozen=True, slots=True)
class PriceLine:
    """An entry of the price book; `is_old` when its price was asked before the date the artist set, or nobody knows."""

    item: PriceItem
    is_old: bool
    given_milli: int

    @property
    def has_shelf(self) -> bool:
        """Whether anything is there already, counted or given."""
        return bool(self.item.shelf_milli or self.given_milli)

    @property
    def there_milli(self) -> int:
        """What is there, counted and given."""
        return self.item.shelf_milli + self.given_milli


def list_prices(show: Show) -> list[PriceLine]:
    """The price book by name, each entry with steps, size table, gifts and the finishes that need it. Five queries."""
    items = show.price_items.prefetch_related("recipe_lines__finish", "steps", "size_prices", "gifts_in_kind")
    before = show.old_prices_before_on
    return [
        PriceLine(
            item=item,
            is_old=before is not None and (item.priced_on is None or item.priced_on < before),
            given_milli=sum(gift.quantity_milli for gift in item.gifts_in_kind.all()),
        )
        for item in items.order_by("name", "pk")
    ]


def list_shelf(show: Show) -> list[PriceItem]:
    """What can lie on a shelf: everything but time."""
    return list(show.price_items.exclude(unit="minute").order_by("name", "pk"))


def price_choices(show: Show) -> list[tuple[str, str]]:
    """The price book as form choices."""
    return [(item.code, item.name) for item in show.price_items.order_by("name", "pk")]


def recipe_context(show: Show) -> dict[str, Any]:
    """What the rows of a recipe are checked against: choices, units by code, codes with a size table."""
    items = list(show.price_items.prefetch_related("size_prices").order_by("name", "pk"))
    return {
        "items": [(item.code, item.name) for item in items],
        "units": {item.code: item.unit for item in items},
        "tables": {item.code for item in items if item.size_prices.all()},
    }


def recipe_rows(finish: Finish | None) -> list[dict[str, Any]]:
    """What stands in the table of the recipe at first."""
    lines = finish.recipe_lines.select_related("item") if finish else []
    return [
        {name: getattr(line, name) for name in ("basis", "quantity_milli", "waste_bp")} | {"item_code": line.item.code}
        for line in lines
    ]


def step_rows(item: PriceItem | None) -> list[dict[str, Any]]:
    """What stands in the table of price steps at first."""
    steps = item.steps.all() if item else []
    return [{"from_packs": step.from_packs, "price_minor": step.price_minor} for step in steps]


def size_price_rows(item: PriceItem | None) -> list[dict[str, Any]]:
    """What stands in the size table at first."""
    rows = item.size_prices.all() if item else []
    return [{"size": (row.width_mm, row.height_mm), "price_minor": row.price_minor} for row in rows]


def list_gifts(show: Show) -> QuerySet[GiftInKind]:
    """The gifts in kind as they were written down, with item and work."""
    return show.gifts_in_kind.select_related("item", "work")


def gift_rows(show: Show) -> list[dict[str, Any]]:
    """What stands in the table of gifts at first."""
    return [
        {
            "giver": gift.giver,
            "item_code": gift.item.code,
            "quantity_milli": gift.quantity_milli or None,
            "work_code": gift.work.code if gift.work else "",
            "value_minor": gift.value_minor,
            "thanks": gift.thanks,
        }
        for gift in list_gifts(show)
    ]


def work_choices(show: Show) -> list[tuple[str, str]]:
    """The works as form choices."""
    return list(show.works.values_list("code", "title"))


@dataclass(frozen=True, slots=True)
class FinishExample:
    """
    A finish worked out on one print size of the show: its lines, their sum, the outer size.

    `reason` says why there is no sum, where a size table has no row for it.
    """

    spec: FinishSpec
    print_width_mm: int
    print_height_mm: int
    width_mm: int
    height_mm: int
    lines: tuple[CostLine, ...]
    reason: str = ""

    @property
    def total_minor(self) -> int:
        """What the example costs by itself; supplies are bought for the whole show."""
        return sum(line.amount_minor for line in self.lines)

    @property
    def takes_supplies(self) -> bool:
        """Whether something in it is counted over the show."""
        return any(line.item.is_supply for line in self.spec.lines)


def read_finishes(show: Show) -> tuple[list[FinishExample], list["NotOfferedLine"]]:
    """Every finish with an example, and what is not offered with the reason, from one reading of the price book."""
    book = read_price_book(show)
    return _list_examples(show, book=book), _list_not_offered(show, book=book)


def _list_examples(show: Show, *, book: PriceBook) -> list[FinishExample]:
    """Every finish worked out on the print size that most works are offered in; A3 while there is none."""
    offered = Counter(Size.objects.filter(work__show=show).values_list("width_mm", "height_mm"))
    size = min(offered, key=lambda one: (-offered[one], one)) if offered else _A3
    return [_example(spec, size=size, show=show) for spec in book.finishes.values()]


def _example(spec: FinishSpec, *, size: tuple[int, int], show: Show) -> FinishExample:
    extent = extent_of(SizeSpec("example", *size), spec)
    lines: tuple[CostLine, ...] = ()
    reason = ""
    try:
        lines = cost_lines(spec.lines, extent=extent, wording=wording_of(show), givers={})
    except OverSizeTable as fault:
        reason = f"The size table of “{fault.item_name}” has no row for it."
    return FinishExample(
        spec=spec, print_width_mm=size[0], print_height_mm=size[1], width_mm=extent.width_mm,
        height_mm=extent.height_mm, lines=lines, reason=reason,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class NotOfferedLine:
    """A way to hang a work that no plan can have, in the words of the page."""

    title: str
    size: SizeSpec
    finish_name: str
    reason: str


def _list_not_offered(show: Show, *, book: PriceBook) -> list[NotOfferedLine]:
    """Every size and finish that is offered for a work and that no plan can have, with the reason."""
    wording = wording_of(show)
    works = read_works(show, book=book)
    found = [one for work in works for one in over_table(work, wording=wording)]
    found += not_offered(request_of(show, book=book, specs=works), wording=wording)
    titles = {work.code: work.title for work in works}
    sizes = {(work.code, size.code): size for work in works for size in work.sizes}
    order = {work.code: number for number, work in enumerate(works)}
    return [
        NotOfferedLine(
            titles[one.work_code], sizes[one.work_code, one.size_code], book.finishes[one.finish_code].name, one.reason
        )
        for one in sorted(found, key=lambda one: order[one.work_code])
    ]
