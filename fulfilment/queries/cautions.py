"""Cautions that go with hanging work, shown where a figure calls for it; local codes and licensed trades decide."""

from collections.abc import Sequence
from dataclasses import dataclass

WALL_LOAD_G = 5_000
TWO_PEOPLE_G = 15_000
LARGE_GLASS_MM = (600, 800)
WITHIN_REACH_MM = 2_000

DRILLING = (
    "Before drilling: ask the building’s owner. Pipes and cables often run straight up, down or across from outlets, "
    "switches and taps; use a detector, and where you are not sure do not drill. Old paint and boards can contain lead "
    "or asbestos: stop and have them checked by a licensed firm."
)
WALL_LOAD = (
    "{works} more than 5 kg. The wall may be weaker than the hook: find out what it is made of, fix into framing or "
    "use an anchor rated for that wall, two points a work, and keep the stated margin."
)
LIFTING = "{works} more than 15 kg: two people lift and hang."
GLASS = (
    "{works} behind glass and large. Carry on edge with two people and gloves that grip; tape the glass only for "
    "transport. Acrylic is the better choice above seats and in crowded spots."
)
LADDER = (
    "{works} above 2 m. Ladders: one out for four up, three points of contact, someone holds the foot, no overreach; "
    "never hang a framed work from a ladder alone."
)
EXITS = (
    "Never block or dress exits, exit signs, extinguishers, alarms or panels, and keep the way to a door clear; the "
    "fire code and the limit posted for the room come first."
)


@dataclass(frozen=True, slots=True)
class HungFigures:
    """What a caution can depend on: a work's mass, outer size and upper edge, and whether its finish has glass."""

    title: str
    mass_g: int
    width_mm: int
    height_mm: int
    top_mm: int
    is_glazed: bool


def cautions_for(works: Sequence[HungFigures], *, blocked_names: Sequence[str]) -> tuple[str, ...]:
    """The cautions that the works on a wall and the openings in it call for, most weighty first."""
    long_side, short_side = max(LARGE_GLASS_MM), min(LARGE_GLASS_MM)
    triggered = [
        (LIFTING, [w for w in works if w.mass_g > TWO_PEOPLE_G], "weighs", "weigh"),
        (WALL_LOAD, [w for w in works if w.mass_g > WALL_LOAD_G], "weighs", "weigh"),
        (
            GLASS,
            [
                w
                for w in works
                if w.is_glazed
                and max(w.width_mm, w.height_mm) > long_side
                and min(w.width_mm, w.height_mm) > short_side
            ],
            "is",
            "are",
        ),
        (LADDER, [w for w in works if w.top_mm > WITHIN_REACH_MM], "reaches", "reach"),
    ]
    said = [
        text.format(works=f"{_named(found)} {one if len(found) == 1 else many}")
        for text, found, one, many in triggered
        if found
    ]
    if works and any(word in name.casefold() for name in blocked_names for word in ("door", "exit", "extinguisher")):
        said.append(EXITS)
    return tuple(said)


def _named(works: Sequence[HungFigures]) -> str:
    titles = [f"“{work.title}”" for work in works[:3]]
    if len(works) > len(titles):
        titles.append(f"{len(works) - len(titles)} more")
    return titles[0] if len(titles) == 1 else f"{', '.join(titles[:-1])} and {titles[-1]}"
