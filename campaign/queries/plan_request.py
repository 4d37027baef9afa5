"""From a show's rows to the planning request, and the request's stored form with its fingerprint."""

import hashlib
import json
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import fields, replace
from functools import lru_cache
from typing import Any

from campaign.models import BlockedArea as Area
from campaign.models import Edition, OptionWorth, Show, ShowCost, Size, Wall, Work
from campaign.planning import (
    BlockedArea,
    FinishTerms,
    Need,
    Option,
    Pack,
    Pin,
    PlanRequest,
    SizeSpec,
    Supply,
    WallSpec,
    WorkOptions,
    WorkSpec,
    options_for,
    supplies_for,
    terms_for,
)
from campaign.planning.costing.changes import NO_CHANGES, Changes
from campaign.queries.lead_time import read_limits
from campaign.queries.made_of_text import MadeOfText
from campaign.queries.pairs import read_pairs
from campaign.queries.prepared import Prepared
from campaign.queries.price_book import PriceBook, read_price_book

# Raised when the engine's answers could differ for the same request, so that stored staircases are rebuilt.
CODE_VERSION = "5"


_WORK_FIELDS = (
    "pk", "code", "title", "need", "series", "must_hang", "coverage_percent",
    "pinned_wall__code", "pinned_middle_mm", "pinned_row",
)  # fmt: skip
_SIZE_FIELDS = ("code", "width_mm", "height_mm", "factor_percent")
_WORTH_FIELDS = ("size__code", "finish__code", "worth")
_WALL_FIELDS = (
    "code", "name", "width_mm", "height_mm", "centre_mm", "end_margin_mm", "rows", "row_height_mm", "row_gap_mm",
    "min_gap_mm",
)  # fmt: skip
_AREA_FIELDS = ("x_mm", "y_mm", "width_mm", "height_mm")
_WORKS = Prepared(lambda show: Work.objects.filter(show=show).values_list(*_WORK_FIELDS))
_SIZES = Prepared(lambda show: Size.objects.filter(work__show=show).values_list("work", *_SIZE_FIELDS))
_FINISHES = Prepared(
    lambda show: Work.finishes.through.objects.filter(work__show=show).values_list("work", "finish__code")
)
_WORTHS = Prepared(lambda show: OptionWorth.objects.filter(work__show=show).values_list("work", *_WORTH_FIELDS))
_WALLS = Prepared(lambda show: Wall.objects.filter(show=show).values_list("pk", *_WALL_FIELDS))
_AREAS = Prepared(lambda show: Area.objects.filter(wall__show=show).values_list("wall", "name", "kind", *_AREA_FIELDS))
_SHOW_COSTS = Prepared(lambda show: ShowCost.objects.filter(show=show).values_list("amount_minor"))
_EDITIONS = Prepared(lambda show: Edition.objects.filter(show=show).values_list("width_mm", "height_mm", "size"))


def read_plan_request(show: Show, *, changes: Changes = NO_CHANGES) -> PlanRequest:
    """
    Everything the staircase of `show` depends on, without cost lines; with `changes`, as it would be then.

    16 queries, whatever the number of works. Only supplies that an option takes are in it, so that an edit of one
    that nothing takes leaves the staircase as it is.
    """
    book = _changed(read_price_book(show), changes=changes)
    return request_of(show, book=book, specs=read_works(show, book=book), changes=changes)


def request_of(show: Show, *, book: PriceBook, specs: Sequence[WorkSpec], changes: Changes = NO_CHANGES) -> PlanRequest:
    """As `read_plan_request`, from a price book with the changes in it and the works read before."""
    limits = read_limits(show, printer_seconds=changes.printer_seconds)
    works = tuple(options_for(spec, printer_seconds_per_m2=show.printer_seconds_per_m2) for spec in specs)
    needed = {need.supply_code for work in works for option in work.options for need in option.needs}
    apart, together = read_pairs(show)
    return PlanRequest(
        works=works,
        walls=changes.to_walls(read_walls(show)),
        show_cost_minor=sum(amount for (amount,) in _SHOW_COSTS(show.pk)),
        min_gap_mm=show.min_gap_mm,
        printer_seconds=max(0, limits.printer_seconds - edition_printer_seconds(show)),
        supplies=tuple(supply for supply in supplies_for(book.items.values()) if supply.code in needed),
        finishes=terms_for(book.finishes.values()),
        lead_days=limits.lead_days,
        most_finishes=show.most_finishes,
        series_share_finish=show.series_share_finish,
        apart=apart,
        together=together,
    )


def _changed(book: PriceBook, *, changes: Changes) -> PriceBook:
    return replace(book, items=changes.to_items(book.items), finishes=changes.to_finishes(book.finishes))


def read_works(show: Show, *, book: PriceBook) -> tuple[WorkSpec, ...]:
    """The works of `show` before costing, in the artist's order. Four queries, read as bare values."""
    sizes: defaultdict[int, list[SizeSpec]] = defaultdict(list)
    for work, *size in _SIZES(show.pk):
        sizes[work].append(SizeSpec(*size))
    finishes: defaultdict[int, set[str]] = defaultdict(set)
    for work, code in _FINISHES(show.pk):
        finishes[work].add(code)
    worths: defaultdict[int, list[tuple[str, str, int]]] = defaultdict(list)
    for work, *own in _WORTHS(show.pk):
        worths[work].append(tuple(own))
    return tuple(
        WorkSpec(
            code=code,
            title=title,
            need=need,
            sizes=tuple(sizes[pk]),
            finishes=tuple(one for one in book.finishes.values() if not finishes[pk] or one.code in finishes[pk]),
            series=series,
            must_hang=must_hang,
            pin=Pin(*pin) if pin[0] is not None else None,
            coverage_percent=coverage,
            worths=tuple(worths[pk]),
            given=book.given.get(code, ()),
        )
        for pk, code, title, need, series, must_hang, coverage, *pin in _WORKS(show.pk)
    )


def read_walls(show: Show) -> tuple[WallSpec, ...]:
    """The walls of `show` with what stands in the way on them, in the artist's order."""
    walls, blocked = _WALLS(show.pk), defaultdict[int, list[BlockedArea]](list)
    for wall, name, kind, *area in _AREAS(show.pk):
        blocked[wall].append(BlockedArea(str(Area(name=name, kind=kind)), *area))
    return tuple(
        WallSpec(**dict(zip(_WALL_FIELDS, values, strict=True)), blocked=tuple(blocked[pk])) for pk, *values in walls
    )


def edition_printer_seconds(show: Show) -> int:
    """
    Printer time kept for the ordered prints: that of whole editions, ordered or not.

    The whole edition, so that no order can ever push a work off the wall and the staircase does not move with orders.
    """
    return sum(
        -(-width_mm * height_mm * copies * show.printer_seconds_per_m2 // 1_000_000)
        for width_mm, height_mm, copies in _EDITIONS(show.pk)
    )


def dump_request(request: PlanRequest) -> dict[str, Any]:
    """The request as JSON values; cost lines are left out, their sum stays in each option."""
    return {field.name: _plain(getattr(request, field.name)) for field in fields(request)}


def _plain(value: Any) -> Any:
    """Values as JSON has them; `dataclasses.asdict` copies every number as well, which takes much longer."""
    if value is None or isinstance(value, int | str):  # nearly all of them
        return value
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    return {name: _plain(getattr(value, name)) for name in _names_of(value.__class__)}


@lru_cache(maxsize=32)
def _names_of(kind: Any) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind) if field.name != "cost_lines")


def load_request(data: dict[str, Any]) -> PlanRequest:
    """The request that `dump_request` wrote, with empty cost lines."""
    known = {field: _LOADERS[field](value) if field in _LOADERS else value for field, value in data.items()}
    return PlanRequest(**known)


# From the JSON text, as the database gives it; a few shows of a studio.
load_request_text = MadeOfText(lambda text: load_request(json.loads(text)), most=8)


def _load_work(data: dict[str, Any]) -> WorkOptions:
    options = tuple(_load_option(option) for option in data["options"])
    pin = Pin(**data["pin"]) if data.get("pin") else None
    return WorkOptions(**{**data, "options": options, "pin": pin})


def _load_option(data: dict[str, Any]) -> Option:
    needs = tuple(Need(**need) for need in data.get("needs", ()))
    return Option(**{**data, "needs": needs, "cost_lines": ()})


def _load_wall(data: dict[str, Any]) -> WallSpec:
    return WallSpec(**{**data, "blocked": tuple(BlockedArea(**area) for area in data["blocked"])})


def _load_supply(data: dict[str, Any]) -> Supply:
    return Supply(**{**data, "packs": tuple(Pack(**pack) for pack in data["packs"])})


_LOADERS: dict[str, Callable[[Any], Any]] = {
    "works": lambda rows: tuple(_load_work(row) for row in rows),
    "walls": lambda rows: tuple(_load_wall(row) for row in rows),
    "supplies": lambda rows: tuple(_load_supply(row) for row in rows),
    "finishes": lambda rows: tuple(FinishTerms(**row) for row in rows),
    "apart": lambda rows: tuple((one, other) for one, other in rows),
    "together": lambda rows: tuple(tuple(codes) for codes in rows),
}


def fingerprint_of(dumped: dict[str, Any]) -> str:
    """SHA-256 of the dumped request in canonical JSON: same inputs, same name."""
    return fingerprint_of_text(canonical_text(dumped))


def canonical_text(dumped: dict[str, Any]) -> str:
    """The dumped request as the one JSON text that it has its fingerprint of."""
    return json.dumps(dumped, sort_keys=True, separators=(",", ":"), ensure_ascii=True)


def fingerprint_of_text(text: str) -> str:
    """SHA-256 of a canonical text."""
    return hashlib.sha256(text.encode()).hexdigest()
