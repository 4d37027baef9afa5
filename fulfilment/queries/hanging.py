"""The hanging sheet: what goes where, wall by wall, from the fixed plan or, before the close, from the plan now."""

from collections.abc import Mapping
from dataclasses import dataclass

from campaign.drawing.room import DrawnWall, Listed, draw_room
from campaign.models import Finish, Show, Work
from campaign.planning import Plan, PlannedWork, PlanRequest, WallSpec
from campaign.queries.plan_request import load_request
from campaign.queries.standing import load_plan, read_standing
from fulfilment.queries.cautions import HungFigures, cautions_for


@dataclass(frozen=True, slots=True)
class HungWork:
    """One line of the sheet; lengths in millimetres, heights from the floor, places from the wall's left end."""

    number: int
    title: str
    finish_name: str
    width_mm: int
    height_mm: int
    left_mm: int
    gap_mm: int
    centre_mm: int
    foot_mm: int
    mass_g: int


@dataclass(frozen=True, slots=True)
class WallSheet:
    """One wall: its drawing, its works from left to right, and the cautions that their figures call for."""

    spec: WallSpec
    drawn: DrawnWall
    material: str
    load_note: str
    works: tuple[HungWork, ...]
    cautions: tuple[str, ...]

    @property
    def mass_g(self) -> int:
        """What hangs on the wall altogether."""
        return sum(work.mass_g for work in self.works)


@dataclass(frozen=True, slots=True)
class HangingSheet:
    """All walls; `is_fixed` once the campaign is closed, `is_fresh` False while edits wait for a new plan."""

    walls: tuple[WallSheet, ...]
    plan: Plan | None
    is_fixed: bool
    is_fresh: bool

    @property
    def count(self) -> int:
        """How many works hang."""
        return len(self.plan.works) if self.plan else 0


def read_hanging(show: Show) -> HangingSheet:
    """The hanging sheet of `show`; at most eleven queries, whatever the number of works."""
    request, plan, is_fixed, is_fresh = _plan_of(show)
    if request is None:
        return HangingSheet((), None, is_fixed, is_fresh)
    listed = {
        code: Listed(code=code, number=number, image=sha256 or "")
        for number, (code, sha256) in enumerate(
            Work.objects.filter(show=show).values_list("code", "picture__sha256"), start=1
        )
    }
    drawn = draw_room(request, now=plan, pencil=None, works=list(listed.values()))
    finishes = {finish.code: finish for finish in show.finishes.prefetch_related("recipe_lines__item")}
    notes = {wall.code: wall for wall in show.walls.all()}
    sheets = []
    for spec, drawing in zip(request.walls, drawn, strict=True):
        here = sorted(
            (work for work in (plan.works if plan else ()) if work.placement.wall_code == spec.code),
            key=lambda work: work.placement.x_mm,
        )
        wall = notes.get(spec.code)
        sheets.append(
            WallSheet(
                spec=spec,
                drawn=drawing,
                material=wall.material if wall else "",
                load_note=wall.load_note if wall else "",
                works=_lines(here, finishes=finishes, listed=listed),
                cautions=cautions_for(
                    [_figures(work, finish=finishes.get(work.finish_code)) for work in here],
                    blocked_names=[area.name for area in spec.blocked],
                ),
            )
        )
    return HangingSheet(tuple(sheets), plan, is_fixed, is_fresh)


def _plan_of(show: Show) -> tuple[PlanRequest | None, Plan | None, bool, bool]:
    fixed = Show.objects.select_related("fixed_plan__run").get(pk=show.pk)
    if hasattr(fixed, "fixed_plan"):
        return load_request(fixed.fixed_plan.run.request), load_plan(fixed.fixed_plan.plan), True, True
    standing = read_standing(show)
    return standing.request, standing.now, False, standing.is_fresh


def _lines(
    works: list[PlannedWork], *, finishes: Mapping[str, Finish], listed: Mapping[str, Listed]
) -> tuple[HungWork, ...]:
    lines = []
    last_right_mm = 0
    for work in works:
        place = work.placement
        finish = finishes.get(work.finish_code)
        lines.append(
            HungWork(
                number=listed[work.code].number if work.code in listed else 0,
                title=work.title,
                finish_name=finish.name if finish else work.finish_code,
                width_mm=place.width_mm,
                height_mm=place.height_mm,
                left_mm=place.x_mm,
                gap_mm=place.x_mm - last_right_mm,
                centre_mm=place.y_mm + place.height_mm // 2,
                foot_mm=place.y_mm,
                mass_g=work.mass_g,
            )
        )
        last_right_mm = place.x_mm + place.width_mm
    return tuple(lines)


def _figures(work: PlannedWork, *, finish: Finish | None) -> HungFigures:
    items = [line.item.name.casefold() for line in finish.recipe_lines.all()] if finish else []
    place = work.placement
    return HungFigures(
        title=work.title,
        mass_g=work.mass_g,
        width_mm=place.width_mm,
        height_mm=place.height_mm,
        top_mm=place.y_mm + place.height_mm,
        # By its name in the price book: nothing else says what a sheet in front of a print is made of.
        is_glazed=any("glass" in name and "acrylic" not in name for name in items),
    )
