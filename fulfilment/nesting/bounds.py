"""How short a nest could be at best; what is proved here no way of laying prints can beat."""

from collections.abc import Sequence

from fulfilment.nesting.filling import ways_of
from fulfilment.nesting.specs import Print


def least_length_mm(prints: Sequence[Print], *, width_mm: int) -> int:
    """
    A length that `prints` need on paper of `width_mm`, whatever way they are laid.

    The greatest of three: their area over the width; the longest of their least lengths; and, because two of them
    never lie side by side, the least lengths of all that are wider than half the paper in every way they may lie.
    Source: the first two are common to all strip packing; the third is the simplest case of the dual feasible
    functions of S. Fekete and J. Schepers (Math. Methods Oper. Res. 60, 2004), from memory.

    >>> least_length_mm([Print("a", 400, 310), Print("b", 400, 500, can_turn=False)], width_mm=600)
    810
    """
    area = sum(item.width_mm * item.height_mm for item in prints)
    shortest, stacked = [0], 0
    for item in prints:
        ways = [(width, height) for width, height in ways_of(item) if width <= width_mm]
        if not ways:
            continue
        least = min(height for _, height in ways)
        shortest.append(least)
        if all(2 * width > width_mm for width, _ in ways):
            stacked += least
    return max(-(-area // width_mm), *shortest, stacked)
