"""The hanging sheet: what goes where, wall by wall, from the fixed plan or, before the close, from the plan now."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from campaign.drawing.elevation import Elevation
from campaign.drawing.elevations import draw_elevations
from campaign.drawing.room import Listed
from campaign.models import Finish, Show, Wall, Work
from campaign.planning import Plan, PlannedWork, PlanRequest, WallSpec
from campaign.planning.placing.hooks import Hanging, Hook, HookRules, access_rule, find_cautions, place_hooks
from campaign.queries.plan_request import load_request
from campaign.queries.standing import load_plan, read_standing
from fulfilment.queries.cautions import say_caution

ROW_NAMES = ("Upper row", "Lower row")


@dataclass(frozen=True, slots=True)
class HungWork:
    """
    One line of the sheet; lengths in millimetres, heights from the floor, places from the wall's left end.

    `row_name` is that of the row which begins here, "" elsewhere and on walls with one row.
    """

    number: int
    title: str
    finish_name: str
    row_name: str
    width_mm: int
    height_mm: int
    left_mm: int
    gap_mm: int
    centre_mm: int
    foot_mm: int
    mass_g: int
    hooks: tuple[Hook, ...]

    @property
    def hook_height_mm(self) -> int:
        """How high its hooks bear."""
        return self.hooks[0].height_mm


@dataclass(frozen=True, slots=True)
class WallSheet:
    """One wall: its drawing, its works row by row from the left, and the cautions that their figures call for."""

    spec: WallSpec
    drawn: Elevation
    material: str
    load_note: str
    works: tuple[HungWork, ...]
    cautions: tuple[str, ...]

    @property
    def mass_g(self) -> int:
        """What hangs on the wall altogether."""
        return sum(work.mass_g for work in self.works)

    @property
    def hook_count(self) -> int:
        """How many hooks the wall takes."""
        return sum(len(work.hooks) for work in self.works)


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

    @property
    def mass_g(self) -> int:
        """What hangs on all walls."""
        return sum(wall.mass_g for wall in self.walls)

    @property
    def hook_count(self) -> int:
        """How many hooks all walls take."""
        return sum(wall.hook_count for wall in self.walls)


def read_hanging(show: Show) -> HangingSheet:
    """The hanging sheet of `show`; at most eleven queries, whatever the number of works."""
    request, plan, is_fixed, is_fresh = _plan_of(show)
    if request is None:
        return HangingSheet((), None, is_fixed, is_fresh)
    numbers = Work.objects.filter(show=show).values_list("code", "picture__sha256")
    listed = [Listed(code, number, sha256 or "") for number, (code, sha256) in enumerate(numbers, start=1)]
    finishes = {finish.code: finish for finish in show.finishes.prefetch_related("recipe_lines__item")}
    rules = HookRules(show.two_hooks_from_mm, show.two_hooks_from_g, show.hook_rating_g, show.hook_margin)
    hung = {
        one.code: _hanging(one, request=request, finish=finishes.get(one.finish_code))
        for one in (plan.works if plan else ())
    }
    hooks = {code: place_hooks(one, rules=rules) for code, one in hung.items()}
    drawn = draw_elevations(request, now=plan, works=listed, unit=show.length_unit, hooks=hooks)
    lines = _Lines({one.code: one.number for one in listed}, finishes, hung, hooks)
    notes = {wall.code: wall for wall in show.walls.all()}
    sheets = []
    for spec, drawing in zip(request.walls, drawn, strict=True):
        here = lines.on_wall(spec, works=plan.works if plan else ())
        found = find_cautions(
            [hung[one.code] for one in here], wall=spec, rules=rules, access=access_rule(show.length_unit)
        )
        wall = notes.get(spec.code) or Wall()
        sheets.append(
            WallSheet(
                spec=spec,
                drawn=drawing,
                material=wall.material,
                load_note=wall.load_note,
                works=lines.of(here, spec=spec),
                cautions=tuple(say_caution(caution, unit=show.length_unit) for caution in found),
            )
        )
    return HangingSheet(tuple(sheets), plan, is_fixed, is_fresh)


def _plan_of(show: Show) -> tuple[PlanRequest | None, Plan | None, bool, bool]:
    fixed = Show.objects.select_related("fixed_plan__run").get(pk=show.pk)
    if hasattr(fixed, "fixed_plan"):
        return load_request(fixed.fixed_plan.run.request), load_plan(fixed.fixed_plan.plan), True, True
    standing = read_standing(show)
    return standing.request, standing.now, False, standing.is_fresh


@dataclass(frozen=True, slots=True)
class _Lines:
    """What the lines of the sheet are written from, by work and finish code."""

    numbers: Mapping[str, int]
    finishes: Mapping[str, Finish]
    hung: Mapping[str, Hanging]
    hooks: Mapping[str, tuple[Hook, ...]]

    def on_wall(self, spec: WallSpec, *, works: Sequence[PlannedWork]) -> list[PlannedWork]:
        """The works on a wall in the order of its drawing."""
        here = [one for one in works if one.placement.wall_code == spec.code]
        return sorted(here, key=lambda one: (one.placement.row, one.placement.x_mm))

    def of(self, works: Sequence[PlannedWork], *, spec: WallSpec) -> tuple[HungWork, ...]:
        """One line a work, row by row."""
        lines = []
        last_row, last_right_mm = -1, 0
        for one in works:
            place = one.placement
            begins_row = place.row != last_row
            last_right_mm = 0 if begins_row else last_right_mm
            finish = self.finishes.get(one.finish_code)
            lines.append(
                HungWork(
                    number=self.numbers.get(one.code, 0),
                    title=one.title,
                    finish_name=finish.name if finish else one.finish_code,
                    row_name=ROW_NAMES[place.row] if begins_row and spec.rows > 1 else "",
                    width_mm=place.width_mm,
                    height_mm=place.height_mm,
                    left_mm=place.x_mm,
                    gap_mm=place.x_mm - last_right_mm,
                    centre_mm=spec.row_centres_mm[place.row],
                    foot_mm=place.y_mm,
                    mass_g=one.mass_g,
                    hooks=self.hooks[one.code],
                )
            )
            last_row, last_right_mm = place.row, place.x_mm + place.width_mm
        return tuple(lines)


def _hanging(one: PlannedWork, *, request: PlanRequest, finish: Finish | None) -> Hanging:
    items = [line.item.name.casefold() for line in finish.recipe_lines.all()] if finish else []
    depths = {
        (option.size_code, option.finish_code): option.depth_mm
        for work in request.works
        if work.code == one.code
        for option in work.options
    }
    return Hanging(
        title=one.title,
        place=one.placement,
        mass_g=one.mass_g,
        drop_mm=finish.drop_mm if finish else 0,
        depth_mm=depths.get((one.size_code, one.finish_code), 0),
        # A finish says so itself, or something in its recipe is called glass.
        is_glazed=finish is not None
        and (finish.is_glazed or any("glass" in name and "acrylic" not in name for name in items)),
    )
