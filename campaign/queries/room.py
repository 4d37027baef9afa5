"""The room Measure as its pages list it: walls, works, finishes, prices, and what is still missing."""

from collections import Counter
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from campaign.models import Finish, PriceItem, Show, ShowCost, Wall, Work
from campaign.planning import CostLine
from campaign.planning.recipe_lines import cost_lines, extent_of
from campaign.planning.specs import (
    FinishSpec,
    SizeSpec,
)
from campaign.planning.wall import stretches
from campaign.queries.plan_request import edition_printer_seconds, read_walls
from campaign.queries.price_book import read_price_book, wording_of


@dataclass(frozen=True, slots=True)
class RoomFacts:
    """What has been measured and priced; lengths in millimetres, time in seconds, money in minor units."""

    walls: int
    wall_length_mm: int
    hanging_length_mm: int
    works: int
    works_without_size: tuple[str, ...]
    works_without_picture: int
    finishes: int
    finishes_without_recipe: tuple[str, ...]
    prices: int
    show_costs_minor: int
    printer_seconds: int
    edition_seconds: int

    @property
    def printer_left_seconds(self) -> int:
        """What is left for the show once the whole edition is printed; below zero if that alone takes longer."""
        return self.printer_seconds - self.edition_seconds


def read_room(show: Show) -> RoomFacts:
    """The facts of the room. 14 queries, whatever the number of works."""
    walls, works, finishes = read_walls(show), list(list_works(show)), read_price_book(show).finishes
    return RoomFacts(
        walls=len(walls),
        wall_length_mm=sum(wall.width_mm for wall in walls),
        hanging_length_mm=sum(piece.length_mm for wall in walls for piece in stretches(wall)),
        works=len(works),
        works_without_size=tuple(work.title for work in works if not work.sizes.all()),
        works_without_picture=sum(work.picture_id is None for work in works),
        finishes=len(finishes),
        finishes_without_recipe=tuple(finish.name for finish in finishes.values() if not finish.lines),
        prices=show.price_items.count(),
        show_costs_minor=sum(cost.amount_minor for cost in show.show_costs.all()),
        printer_seconds=show.printer_seconds,
        edition_seconds=edition_printer_seconds(show),
    )


def list_walls(show: Show) -> QuerySet[Wall]:
    """The walls in the artist's order, each with what stands in the way."""
    return show.walls.prefetch_related("blocked_areas")


def list_works(show: Show) -> QuerySet[Work]:
    """The works in the artist's order with sizes, finishes and picture, its bytes left where they are."""
    return (
        show.works.select_related("picture")
        .defer("picture__webp", "picture__thumbnail_webp")
        .prefetch_related("sizes", "finishes")
    )


def size_rows(work: Work | None) -> list[dict[str, Any]]:
    """What stands in the table of sizes at first."""
    sizes = work.sizes.all() if work else []
    return [{"size": (s.width_mm, s.height_mm), "factor_percent": s.factor_percent} for s in sizes]


def list_finishes(show: Show) -> QuerySet[Finish]:
    """The finishes in the artist's order."""
    return show.finishes.prefetch_related("recipe_lines__item", "works")


@dataclass(frozen=True, slots=True)
class FinishExample:
    """A finish worked out on one print size of the show: its lines, their sum, the outer size."""

    spec: FinishSpec
    print_width_mm: int
    print_height_mm: int
    width_mm: int
    height_mm: int
    lines: tuple[CostLine, ...]

    @property
    def total_minor(self) -> int:
        """What the example costs."""
        return sum(line.amount_minor for line in self.lines)


def list_examples(show: Show) -> list[FinishExample]:
    """Every finish worked out on the print size that most works are offered in; A3 while there is none."""
    offered = Counter((size.width_mm, size.height_mm) for work in list_works(show) for size in work.sizes.all())
    width_mm, height_mm = min(offered, key=lambda size: (-offered[size], size)) if offered else (297, 420)
    return [
        _example(spec, width_mm=width_mm, height_mm=height_mm, show=show)
        for spec in read_price_book(show).finishes.values()
    ]


def _example(spec: FinishSpec, *, width_mm: int, height_mm: int, show: Show) -> FinishExample:
    extent = extent_of(SizeSpec("example", width_mm, height_mm), spec)
    lines = cost_lines(spec.lines, extent=extent, wording=wording_of(show), givers={})
    return FinishExample(
        spec=spec, print_width_mm=width_mm, print_height_mm=height_mm, width_mm=extent.width_mm,
        height_mm=extent.height_mm, lines=lines,
    )  # fmt: skip


def recipe_rows(finish: Finish | None) -> list[dict[str, Any]]:
    """What stands in the table of the recipe at first."""
    lines = finish.recipe_lines.select_related("item") if finish else []
    return [
        {name: getattr(line, name) for name in ("basis", "quantity_milli", "waste_bp")} | {"item_code": line.item.code}
        for line in lines
    ]


def list_prices(show: Show) -> QuerySet[PriceItem]:
    """The price book by name, each entry with the finishes that need it."""
    return show.price_items.prefetch_related("recipe_lines__finish").order_by("name", "pk")


def price_choices(show: Show) -> list[tuple[str, str]]:
    """The price book as form choices."""
    return [(item.code, item.name) for item in show.price_items.order_by("name", "pk")]


def list_show_costs(show: Show) -> QuerySet[ShowCost]:
    """What the show as a whole costs."""
    return show.show_costs.all()
