"""How much an answer may take, counted in steps of the work itself, never in time: same request, same answer."""

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Effort:
    """
    What one search may do.

    labels, partial choices in all; label_limit, in each half of a cell, which is searched when about so few are
    expected; pair_limit, per price vector; lines, bounds that a new cell gets; rounds of climbing; tests whether
    choices hang, and long searches among them; repairs, choices that miss the walls and are made to fit. A thorough
    search begins with a beam, and searches also what is large and cannot be split.
    """

    labels: int
    label_limit: int
    pair_limit: int
    lines: int
    rounds: int
    tests: int
    searches: int
    repairs: int
    is_thorough: bool


SMALL = Effort(
    labels=100_000,
    label_limit=4_000,
    pair_limit=400_000,
    lines=10,
    rounds=3,
    tests=200_000,
    searches=20_000,
    repairs=400,
    is_thorough=True,
)
LARGE = Effort(
    labels=200_000,
    label_limit=2_000,
    pair_limit=200_000,
    lines=10,
    rounds=3,
    tests=3_000,
    searches=40,
    repairs=400,
    is_thorough=True,
)
QUICK = Effort(
    labels=600,
    label_limit=60,
    pair_limit=20_000,
    lines=5,
    rounds=1,
    tests=1_000,
    searches=0,
    repairs=25,
    is_thorough=False,
)
# From shows known before an edit: they stand for what opening cells would find, and it is the exact answer's to prove.
AFTER_EDIT = replace(QUICK, labels=0, rounds=2)
FEW_WORKS = 16  # up to which a show is small: everything can be tried, walls included


def effort_for(works: int) -> Effort:
    """What the exact answer for a show of so many works may take."""
    return SMALL if works <= FEW_WORKS else LARGE
