"""Words for the cautions that hanging works call for; local codes, owner and licensed trades decide."""

from collections.abc import Sequence

from campaign.measures.lengths import format_length
from campaign.measures.weights import format_weight
from campaign.planning.placing.hooks import Caution, Topic

DRILLING = (
    "Before drilling: ask the building’s owner. Pipes and cables often run straight up, down or across from outlets, "
    "switches and taps; use a detector, and where you are not sure do not drill. Old paint and boards can contain lead "
    "or asbestos: stop and have them checked by a licensed firm."
)
# Each opens with its works; {found} and {limit} are the figures that call for it.
_WORDS: dict[Topic, tuple[str, str, str]] = {
    Topic.LIFTING: ("weighs {found}, more", "weigh up to {found}, more", " than {limit}: two people lift and hang."),
    Topic.LOAD: (
        "weighs {found}, more",
        "weigh up to {found}, more",
        " than {limit}. The wall may be weaker than the hook: find out what it is made of, fix into framing or use an "
        "anchor rated for that wall, two points a work, and keep the stated margin.",
    ),
    Topic.HOOKS: (
        "calls",
        "call",
        " for hooks rated {found} with your margin, and yours carry {limit}. Use stronger hooks or more of them; the "
        "wall, not the hook, has the last word.",
    ),
    Topic.GLASS: (
        "is behind glass and large ({found}",
        "are behind glass and large (up to {found}",
        ", more than {limit}). Carry on edge with two people and gloves that grip; tape the glass only for transport. "
        "Acrylic is the better choice above seats and in crowded spots.",
    ),
    Topic.PROTRUSION: (
        "stands",
        "stand",
        " out {found} from the wall, more than {limit}, where a cane does not find the edge. Reduce the depth, hang it "
        "lower, or put something below it that a cane finds.",
    ),
    Topic.LADDER: (
        "reaches",
        "reach",
        " up to {found}, above {limit}. Ladders: one out for four up, three points of contact, someone holds the foot, "
        "no overreach; never hang a framed work from a ladder alone.",
    ),
    Topic.EXIT: (
        "hangs",
        "hang",
        " {found} from a door or exit, nearer than {limit}. Never block or dress exits, exit signs, extinguishers, "
        "alarms or panels, and keep the way to a door clear; the fire code and the limit posted for the room come "
        "first.",
    ),
}
_IN_GRAMS = frozenset({Topic.LIFTING, Topic.LOAD, Topic.HOOKS})


def say_caution(caution: Caution, *, unit: str) -> str:
    """A caution as a sentence or two, with the figures that call for it; lengths in the show's unit."""
    one, many, rest = _WORDS[caution.topic]
    text = (one if len(caution.titles) == 1 else many) + rest
    found, limit = (
        format_weight(figure) if caution.topic in _IN_GRAMS else format_length(figure, unit=unit)
        for figure in (caution.found, caution.limit)
    )
    return f"{_named(caution.titles)} {text.format(found=found, limit=limit)}"


def _named(titles: Sequence[str]) -> str:
    named = [f"“{title}”" for title in titles[:3]]
    if len(titles) > len(named):
        named.append(f"{len(titles) - len(named)} more")
    return named[0] if len(named) == 1 else f"{', '.join(named[:-1])} and {named[-1]}"
