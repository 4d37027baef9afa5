"""What buying a supply costs, as a function of the quantity needed: steps of whole packs, or to measure."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from campaign.planning.arrays import IntArray
from campaign.planning.errors import InvalidRequest
from campaign.planning.inputs import Pack, Supply

MOST_PACKS = 200_000
_NOT_OFFERED = 2**61


@dataclass(frozen=True, slots=True)
class PackCurve:
    """
    Rising steps: up to `reach[j]` costs `costs[j]`; nothing beyond the last reach is asked for.

    reach, costs: (J,), both rising strictly; the first step is the shelf, which costs nothing.
    """

    reach: IntArray
    costs: IntArray

    def cost(self, needed: IntArray) -> IntArray:
        """Cost of each quantity; beyond the last reach the last cost."""
        return np.asarray(self.costs[np.minimum(np.searchsorted(self.reach, needed), len(self.costs) - 1)])


@dataclass(frozen=True, slots=True)
class MeasureCurve:
    """Bought to measure: `price_minor` for `per_micro` of what the shelf does not hold, rounded up once."""

    shelf_micro: int
    price_minor: int
    per_micro: int

    def cost(self, needed: IntArray) -> IntArray:
        """Cost of each quantity."""
        lack = np.maximum(needed - self.shelf_micro, 0)
        return np.asarray(-(-lack * self.price_minor // self.per_micro))


Curve = PackCurve | MeasureCurve


def curve_of(supply: Supply, *, most_micro: int) -> Curve | None:
    """
    The curve of a supply of which at most `most_micro` is ever needed; None when nothing can be bought.

    Raises: InvalidRequest when that takes more than 200,000 packs.
    """
    if supply.packs:
        return _pack_curve(supply, lack_micro=max(most_micro - supply.shelf_micro, 0))
    if supply.price_minor is None:
        return None
    return MeasureCurve(supply.shelf_micro, supply.price_minor, supply.per_micro)


def _pack_curve(supply: Supply, *, lack_micro: int) -> PackCurve:
    quantities, costs = np.zeros(1, dtype=np.int64), np.zeros(1, dtype=np.int64)
    for size in sorted({pack.quantity_micro for pack in supply.packs}, reverse=True):
        more, dearer = _of_one_size(supply, size_micro=size, lack_micro=lack_micro)
        if len(quantities) * len(more) > 100 * MOST_PACKS:
            raise InvalidRequest(field="packs", found=supply.code, expected="fewer sizes or larger packs")
        sums = np.add.outer(quantities, more).ravel(), np.add.outer(costs, dearer).ravel()
        quantities, costs = _cheapest(np.minimum(sums[0], lack_micro), sums[1])
    return PackCurve(reach=quantities + supply.shelf_micro, costs=costs)


def _of_one_size(supply: Supply, *, size_micro: int, lack_micro: int) -> tuple[IntArray, IntArray]:
    """Quantities and costs of 0, 1, 2 … packs of one size, far enough to have all that is lacking."""
    offers = [pack for pack in supply.packs if pack.quantity_micro == size_micro]
    most = max(-(-lack_micro // size_micro), *(offer.from_count for offer in offers))
    if most > MOST_PACKS:
        raise InvalidRequest(field="packs", found=supply.code, expected=f"at most {MOST_PACKS} packs of a size")
    counts = np.arange(most + 1, dtype=np.int64)
    costs = np.where(counts == 0, 0, _NOT_OFFERED)
    for from_count, price in _prices(offers):
        costs[max(from_count, 1) :] = counts[max(from_count, 1) :] * price
    offered = costs < _NOT_OFFERED
    return counts[offered] * size_micro, costs[offered]


def _prices(offers: Sequence[Pack]) -> list[tuple[int, int]]:
    """From which count which price holds; the lower price of two offers from the same count."""
    counts = sorted({offer.from_count for offer in offers})
    return [(count, min(offer.price_minor for offer in offers if offer.from_count == count)) for count in counts]


def _cheapest(quantities: IntArray, costs: IntArray) -> tuple[IntArray, IntArray]:
    """The purchases that none beats in both, rising."""
    order = np.lexsort((-quantities, costs))
    quantities, costs = quantities[order], costs[order]
    best = np.maximum.accumulate(quantities)
    kept = np.concatenate([[True], quantities[1:] > best[:-1]])
    return quantities[kept], costs[kept]
