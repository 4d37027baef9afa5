"""The room Measure as its pages list it: walls, works, finishes, prices, and what is still missing."""

from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from campaign.models import Finish, Show, ShowCost, Wall, Work
from campaign.planning.placing.wall import stretches
from campaign.queries.plan_request import edition_printer_seconds, read_walls
from campaign.queries.price_book import read_price_book


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


def list_show_costs(show: Show) -> QuerySet[ShowCost]:
    """What the show as a whole costs."""
    return show.show_costs.all()
