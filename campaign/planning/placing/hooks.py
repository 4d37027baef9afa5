"""Hooks, weights and what a hung work's figures call for; where works hang is settled elsewhere, words are too."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from campaign.planning.inputs import BlockedArea, WallSpec
from campaign.planning.placing.wall import hook_height_mm
from campaign.planning.results import Placement

HEAVY_G = 5_000
TWO_PEOPLE_G = 15_000
LARGE_GLASS_MM = (600, 800)
WITHIN_REACH_MM = 2_000


@dataclass(frozen=True, slots=True)
class AccessRule:
    """
    How far a work may stand out into a path: `depth_mm`, where its lower edge is above `above_mm` up to `up_to_mm`.

    `clear_mm` is the width that a path keeps.
    Source: US 2010 ADA Standards 307.2 and 403.5.1; used as the stricter rule where no other is known.
    """

    above_mm: int
    up_to_mm: int
    depth_mm: int
    clear_mm: int

    def is_broken(self, *, foot_mm: int, depth_mm: int) -> bool:
        """Whether a cane misses an edge that stands out too far."""
        return self.above_mm < foot_mm <= self.up_to_mm and depth_mm > self.depth_mm

    def is_clear(self, *, width_mm: int) -> bool:
        """Whether a path is wide enough."""
        return width_mm >= self.clear_mm


# The standard gives both, and the metric values are rounded: each is held against lengths typed in its own unit.
METRIC_RULE = AccessRule(above_mm=685, up_to_mm=2030, depth_mm=100, clear_mm=915)
INCH_RULE = AccessRule(above_mm=686, up_to_mm=2032, depth_mm=102, clear_mm=914)  # 27, 80, 4 and 36 in


def access_rule(unit: str) -> AccessRule:
    """The rule in the unit that the artist measures in: mm, cm or in."""
    return INCH_RULE if unit == "in" else METRIC_RULE


@dataclass(frozen=True, slots=True)
class HookRules:
    """The show's own limits: two hooks from this width or weight on, what one hook carries (0: not known), margin."""

    two_from_mm: int
    two_from_g: int
    rating_g: int = 0
    margin: int = 4


@dataclass(frozen=True, slots=True)
class Hook:
    """Where the bearing point of a hook is: from the wall's left end and from the floor."""

    x_mm: int
    height_mm: int


@dataclass(frozen=True, slots=True)
class Hanging:
    """One work on the wall as its hooks and its cautions need it."""

    title: str
    place: Placement
    mass_g: int
    drop_mm: int = 0
    depth_mm: int = 0
    is_glazed: bool = False

    @property
    def top_mm(self) -> int:
        """The upper edge, from the floor."""
        return self.place.y_mm + self.place.height_mm


def count_hooks(hung: Hanging, *, rules: HookRules) -> int:
    """One hook, or two for a work as wide or as heavy as the show's limits, or more so."""
    return 2 if hung.place.width_mm >= rules.two_from_mm or hung.mass_g >= rules.two_from_g else 1


def place_hooks(hung: Hanging, *, rules: HookRules) -> tuple[Hook, ...]:
    """
    Where the hooks go: one in the middle, two a quarter of the width in from each side.

    Returns: left to right, all at one height.

    >>> hung = Hanging("A", Placement("a", "north", 1000, 1150, 600, 600), mass_g=2000, drop_mm=70)
    >>> [(hook.x_mm, hook.height_mm) for hook in place_hooks(hung, rules=HookRules(400, 4500))]
    [(1150, 1680), (1450, 1680)]
    """
    left, width = hung.place.x_mm, hung.place.width_mm
    middle_mm = hung.place.y_mm + hung.place.height_mm // 2
    height = hook_height_mm(centre_mm=middle_mm, height_mm=hung.place.height_mm, drop_mm=hung.drop_mm)
    if count_hooks(hung, rules=rules) == 1:
        return (Hook(left + width // 2, height),)
    return Hook(left + width // 4, height), Hook(left + width - width // 4, height)


class Topic(StrEnum):
    """What a caution is about, most weighty first."""

    LIFTING = "lifting"
    LOAD = "load"
    HOOKS = "hooks"
    GLASS = "glass"
    PROTRUSION = "protrusion"
    LADDER = "ladder"
    EXIT = "exit"


@dataclass(frozen=True, slots=True)
class Caution:
    """
    A topic and what calls for it: the works' titles, and the largest figure found beside the limit it passes.

    In grams for LIFTING, LOAD and HOOKS (there what the hooks would have to carry, beside what they are rated for),
    else in millimetres: GLASS the longer side, PROTRUSION the depth, LADDER the highest upper edge, EXIT the
    distance between a work and a door, where less than the limit is near.
    """

    topic: Topic
    titles: tuple[str, ...]
    found: int
    limit: int


def find_cautions(
    works: Sequence[Hanging], *, wall: WallSpec, rules: HookRules, access: AccessRule
) -> tuple[Caution, ...]:
    """
    What the works on one wall call for, in the order of `Topic`.

    Limits: common practice for weights, glass and reach; local codes, owner and licensed trades decide.
    """
    found = [
        _above(Topic.LIFTING, [(one.title, one.mass_g) for one in works], limit=TWO_PEOPLE_G),
        _above(Topic.LOAD, [(one.title, one.mass_g) for one in works], limit=HEAVY_G),
        _weak_hooks(works, rules=rules),
        _above(
            Topic.GLASS,
            [
                (one.title, max(_sides(one)))
                for one in works
                if one.is_glazed and min(_sides(one)) > min(LARGE_GLASS_MM)
            ],
            limit=max(LARGE_GLASS_MM),
        ),
        _above(
            Topic.PROTRUSION,
            [
                (one.title, one.depth_mm)
                for one in works
                if access.is_broken(foot_mm=one.place.y_mm, depth_mm=one.depth_mm)
            ],
            limit=access.depth_mm,
        ),
        _above(Topic.LADDER, [(one.title, one.top_mm) for one in works], limit=WITHIN_REACH_MM),
        _near_doors(works, doors=[area for area in wall.blocked if is_way_out(area.name)], access=access),
    ]
    return tuple(caution for caution in found if caution is not None)


def is_way_out(name: str) -> bool:
    """Whether what is in the way is a door, an exit or something for a fire, going by its name."""
    return any(word in name.casefold() for word in ("door", "exit", "extinguisher", "alarm", "hydrant"))


def _above(topic: Topic, figures: Sequence[tuple[str, int]], *, limit: int) -> Caution | None:
    over = [(title, figure) for title, figure in figures if figure > limit]
    if not over:
        return None
    return Caution(topic, tuple(title for title, _ in over), max(figure for _, figure in over), limit)


def _weak_hooks(works: Sequence[Hanging], *, rules: HookRules) -> Caution | None:
    """Works whose hooks are rated below the margin, with the figures of the one that lacks most."""
    weak = [
        (rules.margin * one.mass_g, rules.rating_g * count_hooks(one, rules=rules), one.title)
        for one in works
        if rules.rating_g and rules.rating_g * count_hooks(one, rules=rules) < rules.margin * one.mass_g
    ]
    if not weak:
        return None
    needed_g, rated_g, _ = max(weak, key=lambda figures: figures[0] - figures[1])
    return Caution(Topic.HOOKS, tuple(title for *_, title in weak), needed_g, rated_g)


def _near_doors(works: Sequence[Hanging], *, doors: Sequence[BlockedArea], access: AccessRule) -> Caution | None:
    """Works closer to a way out than a path is wide."""
    away = [(one.title, min(_apart_mm(one.place, door) for door in doors)) for one in works if doors]
    near = [(title, distance) for title, distance in away if not access.is_clear(width_mm=distance)]
    if not near:
        return None
    closest_mm = min(distance for _, distance in near)
    return Caution(Topic.EXIT, tuple(title for title, _ in near), closest_mm, access.clear_mm)


def _apart_mm(place: Placement, area: BlockedArea) -> int:
    """Clear distance along the wall; 0 where one is above the other."""
    return max(place.x_mm - (area.x_mm + area.width_mm), area.x_mm - (place.x_mm + place.width_mm), 0)


def _sides(hung: Hanging) -> tuple[int, int]:
    return hung.place.width_mm, hung.place.height_mm
