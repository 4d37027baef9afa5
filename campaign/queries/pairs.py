"""Which works must not hang side by side, and which must hang on the same wall, as the planning request says it."""

from collections.abc import Iterable, Sequence

from campaign.models import Show, WorkPair
from campaign.queries.prepared import Prepared

Pair = tuple[str, str]
_PAIRS = Prepared(
    lambda show: WorkPair.objects.filter(show=show).values_list(
        "kind", "one__code", "one__position", "one__pk", "other__code", "other__position", "other__pk"
    )
)


def read_pairs(show: Show) -> tuple[tuple[Pair, ...], tuple[tuple[str, ...], ...]]:
    """Pairs kept apart and sets kept together, both in the works' order. One query."""
    apart: set[Pair] = set()
    together: set[Pair] = set()
    places: dict[str, tuple[int, int]] = {}
    for kind, one, one_position, one_pk, other, other_position, other_pk in _PAIRS(show.pk):
        places |= {one: (one_position, one_pk), other: (other_position, other_pk)}
        first, second = sorted((one, other), key=places.__getitem__)
        (apart if kind == WorkPair.Kind.APART else together).add((first, second))
    order = sorted(places, key=places.__getitem__)
    number = {code: index for index, code in enumerate(order)}
    in_order = tuple(sorted(apart, key=lambda pair: (number[pair[0]], number[pair[1]])))
    return in_order, connected_sets(together, order=order)


def connected_sets(pairs: Iterable[Pair], *, order: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """
    The sets that pairs chain together, each in `order` and by its first member.

    >>> connected_sets([("a", "b"), ("d", "e"), ("b", "c")], order="abcde")
    (('a', 'b', 'c'), ('d', 'e'))
    """
    linked: dict[str, set[str]] = {}
    for one, other in pairs:
        merged = linked.get(one, {one}) | linked.get(other, {other})
        linked |= dict.fromkeys(merged, merged)
    found = dict.fromkeys(
        tuple(code for code in order if code in linked[member]) for member in order if member in linked
    )
    return tuple(found)
