"""How much an answer may take, counted in steps of the work itself, never in time: same request, same answer."""

from dataclasses import dataclass


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
    is_thorough: bool = True


EXACT = Effort(
    labels=100_000, label_limit=2_000, pair_limit=200_000, lines=10, rounds=3, tests=6_000, searches=150, repairs=400
)
QUICK = Effort(
    labels=2_400,
    label_limit=60,
    pair_limit=20_000,
    lines=6,
    rounds=1,
    tests=1_000,
    searches=0,
    repairs=25,
    is_thorough=False,
)
