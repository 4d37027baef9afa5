"""From a show's rows to the planning request, and the request's stored form with its fingerprint."""

import hashlib
import json
from collections.abc import Callable
from dataclasses import asdict
from typing import Any

from campaign.models import Edition, Finish, Show, Work
from campaign.planning import (
    Basis,
    BlockedArea,
    FinishSpec,
    FinishTerms,
    Need,
    Option,
    Pack,
    Pin,
    PlanRequest,
    PriceItem,
    RecipeLine,
    SizeSpec,
    Supply,
    WallSpec,
    WorkOptions,
    WorkSpec,
    options_for,
)

# Raised when the engine's answers could differ for the same request, so that stored staircases are rebuilt.
CODE_VERSION = "1"


def read_plan_request(show: Show) -> PlanRequest:
    """Everything the staircase of `show` depends on, with cost lines. 10 queries whatever the number of works."""
    finishes = {finish.pk: _finish_spec(finish) for finish in _finishes(show)}
    works = [
        options_for(
            _work_spec(work, finishes=finishes),
            currency=show.currency,
            printer_seconds_per_m2=show.printer_seconds_per_m2,
        )
        for work in show.works.prefetch_related("sizes", "finishes")
    ]
    return PlanRequest(
        works=tuple(works),
        walls=read_walls(show),
        show_cost_minor=sum(cost.amount_minor for cost in show.show_costs.all()),
        min_gap_mm=show.min_gap_mm,
        printer_seconds=max(0, show.printer_seconds - edition_printer_seconds(show)),
    )


def read_walls(show: Show) -> tuple[WallSpec, ...]:
    """The walls of `show` with what stands in the way on them, in the artist's order."""
    return tuple(
        WallSpec(
            code=wall.code,
            name=wall.name,
            width_mm=wall.width_mm,
            height_mm=wall.height_mm,
            centre_mm=wall.centre_mm,
            end_margin_mm=wall.end_margin_mm,
            blocked=tuple(
                BlockedArea(
                    name=str(area), x_mm=area.x_mm, y_mm=area.y_mm, width_mm=area.width_mm, height_mm=area.height_mm
                )
                for area in wall.blocked_areas.all()
            ),
        )
        for wall in show.walls.prefetch_related("blocked_areas")
    )


def edition_printer_seconds(show: Show) -> int:
    """
    Printer time kept for the ordered prints: that of whole editions, ordered or not.

    The whole edition, so that no order can ever push a work off the wall and the staircase does not move with orders.
    """
    return sum(_edition_seconds(edition, show=show) for edition in show.editions.all())


def _edition_seconds(edition: Edition, *, show: Show) -> int:
    area_mm2 = edition.width_mm * edition.height_mm * edition.size
    return -(-area_mm2 * show.printer_seconds_per_m2 // 1_000_000)


def _finishes(show: Show) -> list[Finish]:
    return list(show.finishes.prefetch_related("recipe_lines__item"))


def _finish_spec(finish: Finish) -> FinishSpec:
    lines = tuple(
        RecipeLine(
            item=PriceItem(
                code=line.item.code,
                name=line.item.name,
                unit=line.item.unit,
                price_minor=line.item.price_minor,
                per_milli=line.item.per_milli,
                mass_g_per_unit=line.item.mass_g_per_unit,
            ),
            basis=Basis(line.basis),
            quantity_milli=line.quantity_milli,
            waste_bp=line.waste_bp,
        )
        for line in finish.recipe_lines.all()
    )
    return FinishSpec(
        code=finish.code,
        name=finish.name,
        worth=finish.worth,
        border_mm=finish.border_mm,
        mat_mm=finish.mat_mm,
        moulding_mm=finish.moulding_mm,
        printed_at_home=finish.is_printed_at_home,
        lines=lines,
    )


def _work_spec(work: Work, *, finishes: dict[int, FinishSpec]) -> WorkSpec:
    allowed = [finish.pk for finish in work.finishes.all()] or list(finishes)
    return WorkSpec(
        code=work.code,
        title=work.title,
        need=work.need,
        sizes=tuple(
            SizeSpec(
                code=size.code, width_mm=size.width_mm, height_mm=size.height_mm, factor_percent=size.factor_percent
            )
            for size in work.sizes.all()
        ),
        finishes=tuple(spec for pk, spec in finishes.items() if pk in allowed),
    )


def dump_request(request: PlanRequest) -> dict[str, Any]:
    """The request as JSON values; cost lines are left out, their sum stays in each option."""
    data = asdict(request)
    for work in data["works"]:
        for option in work["options"]:
            del option["cost_lines"]
    return data


def load_request(data: dict[str, Any]) -> PlanRequest:
    """The request that `dump_request` wrote, with empty cost lines."""
    known = {field: _LOADERS[field](value) if field in _LOADERS else value for field, value in data.items()}
    return PlanRequest(**known)


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
    text = json.dumps(dumped, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()
