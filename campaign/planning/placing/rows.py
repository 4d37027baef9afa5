"""The order along a row when some works must not hang next to each other; lengths and places are not looked at."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

ORDER_LIMIT = 20_000
SPARE = -1


class Undecided(Exception):
    """A search was given up before it was complete."""


@dataclass(frozen=True, slots=True)
class Party:
    """Works of one piece of wall in any order: `members` that have foes, and how many `spares` that have none."""

    members: tuple[int, ...]
    spares: int


def order_apart(
    parties: Sequence[Party], *, foes: Mapping[int, frozenset[int]], limit: int = ORDER_LIMIT
) -> tuple[int, ...] | None:
    """
    An order of a row in which no two foes are neighbours, party after party.

    Returns: members, with SPARE in the place of every spare; None when there is no such order.
    Raises: Undecided after `limit` dead ends.
    Notes: complete depth first search; members with most foes still to come first.

    >>> order_apart([Party((1, 2), 1)], foes={1: frozenset({2}), 2: frozenset({1})})
    (1, -1, 2)
    """
    failed: set[tuple[int, frozenset[int], int, int]] = set()

    def extend(at: int, left: frozenset[int], spares: int, last: int) -> tuple[int, ...] | None:
        if not left and spares == 0:
            if at + 1 == len(parties):
                return ()
            return extend(at + 1, frozenset(parties[at + 1].members), parties[at + 1].spares, last)
        state = (at, left, spares, last)
        if state in failed:
            return None
        if len(failed) > limit:
            raise Undecided
        near = foes.get(last, frozenset())
        nexts = sorted(left - near, key=lambda one: (-len(foes.get(one, frozenset()) & left), one))
        for one in [*nexts, *([SPARE] if spares else [])]:
            rest = extend(at, left - {one}, spares - (one == SPARE), one)
            if rest is not None:
                return (one, *rest)
        failed.add(state)
        return None

    if not parties:
        return ()
    return extend(0, frozenset(parties[0].members), parties[0].spares, SPARE)
