"""
Part of all choices of a show: finishes decided, numbers of packs between bounds; and what such a part costs at least.

Within a cell every supply costs what its fewest packs cost, and from there on a price per unit that no purchase in
the cell undercuts. That is linear, so prices (tolls.py) bound it; narrower cells are bounded better.
"""

from dataclasses import dataclass, replace

import numpy as np

from campaign.planning.arrays import FloatArray
from campaign.planning.choosing.model import Model, Offer, Resource
from campaign.planning.costing.curves import MeasureCurve, PackCurve

_ENDLESS = 2**61


@dataclass(frozen=True, slots=True)
class Cell:
    """
    Finishes that are paid for (`used`) and those that are not on offer (`barred`), as marks; per resource the first
    and the last step of its curve; per stage the one mode it is in, -1 for any.
    """

    model: Model
    used: int
    barred: int
    first: tuple[int, ...]
    last: tuple[int, ...]
    modes: tuple[int, ...]

    @classmethod
    def whole(cls, model: Model) -> "Cell":
        """Everything."""
        curves = [resource.curve for resource in model.rules.resources]
        last = tuple(len(curve.costs) - 1 if isinstance(curve, PackCurve) else 0 for curve in curves)
        return cls(model, used=0, barred=0, first=(0,) * len(curves), last=last, modes=(-1,) * len(model.stages))

    @property
    def is_empty(self) -> bool:
        """Whether no choice is in it."""
        return self.offer.is_empty or any(first > last for first, last in zip(self.first, self.last, strict=True))

    @property
    def tight(self) -> "Cell":
        """The same choices between the nearest steps of the curves."""
        if self.offer.is_empty:
            return self
        first, last = list(self.first), list(self.last)
        for column, resource in enumerate(self.model.rules.resources):
            if isinstance(resource.curve, PackCurve):
                reach = resource.curve.reach
                first[column] = max(first[column], int(np.searchsorted(reach, self.offer.least[column])))
                last[column] = min(last[column], int(np.searchsorted(reach, self.offer.most[column])))
        return replace(self, first=tuple(first), last=tuple(last))

    @property
    def undecided(self) -> int:
        """Marks that still decide what a choice of this cell costs, or whether it is allowed."""
        most, offered = self.model.rules.most_finishes, self.offer.marks | self.used
        decisive = self.model.charged if most is None or offered.bit_count() <= most else offered
        return decisive & offered & ~self.used

    @property
    def capacities(self) -> tuple[int, ...]:
        """The most of each resource that a choice of this cell uses."""
        capacities = []
        for resource, last in zip(self.model.rules.resources, self.last, strict=True):
            if resource.capacity is not None:
                capacities.append(resource.capacity)
            elif isinstance(resource.curve, PackCurve) and last < len(resource.curve.costs) - 1:
                capacities.append(int(resource.curve.reach[last]))
            else:
                capacities.append(_ENDLESS)
        return tuple(capacities)

    @property
    def decisive(self) -> tuple[int, ...]:
        """The resources whose use can still make a difference: by a limit that may bind, or by what it costs."""
        options, found = self.offer.options, []
        for column, (resource, capacity) in enumerate(zip(self.model.rules.resources, self.capacities, strict=True)):
            uses = [np.max(g.uses[options[i, : len(g.costs)], column]) for i, g in enumerate(self.model.groups)]
            costs = resource.capacity is None and not isinstance(resource.curve, PackCurve)
            costs = costs or self.first[column] < self.last[column]
            if any(uses) and (costs or sum(uses) > capacity):
                found.append(column)
        return tuple(found)

    @property
    def offer(self) -> Offer:
        """What may be taken in this cell."""
        return self.model.offer(self.barred, self.modes)

    def decided(self, mark: int, *, is_used: bool) -> "Cell":
        """The part that pays for a finish, or does without; where no more finishes may be used, the rest are barred."""
        cell = replace(self, used=self.used | mark) if is_used else replace(self, barred=self.barred | mark)
        if self.model.rules.most_finishes == cell.used.bit_count():
            return replace(cell, barred=sum(self.model.marks.values()) & ~cell.used)
        return cell

    def in_mode(self, stage: int) -> tuple["Cell", ...]:
        """The parts in which a stage is in each of its modes."""
        modes = range(len(self.model.stages[stage]))
        return tuple(replace(self, modes=(*self.modes[:stage], mode, *self.modes[stage + 1 :])) for mode in modes)

    def split(self, column: int, *, at: int) -> tuple["Cell", "Cell"]:
        """The parts up to step `at` of a resource and beyond it."""
        low = (*self.last[:column], at, *self.last[column + 1 :])
        high = (*self.first[:column], at + 1, *self.first[column + 1 :])
        return replace(self, last=low), replace(self, first=high)


@dataclass(frozen=True, slots=True)
class Terms:
    """
    What a cell's resources cost at least: `base` money; of each resource `free` units, then `more` at `rates` each.

    free, more, rates: (m,).
    """

    base: float
    free: FloatArray
    more: FloatArray
    rates: FloatArray

    @classmethod
    def of(cls, cell: Cell) -> "Terms":
        """The linear terms of a cell."""
        rules = cell.model.rules
        base = float(rules.show_minor) + sum(setup for mark, setup in rules.setups if mark & cell.used)
        rows = []
        for column, resource in enumerate(rules.resources):
            paid, *row = _terms_of(resource, cell=cell, column=column)
            base += paid
            rows.append(row)
        columns = np.array(rows, dtype=np.float64).reshape(len(rows), 3).T
        return cls(base, columns[0], columns[1], columns[2])


def _terms_of(resource: Resource, *, cell: Cell, column: int) -> tuple[float, float, float, float]:
    """Base, free, more and rate of one resource."""
    most = int(cell.offer.most[column])
    if resource.capacity is not None:
        return 0.0, float(resource.capacity), 0.0, 0.0
    if isinstance(resource.curve, MeasureCurve):
        curve = resource.curve
        rate = curve.price_minor / curve.per_micro
        return 0.0, float(curve.shelf_micro), float(max(most - curve.shelf_micro, 0)), rate
    if isinstance(resource.curve, PackCurve):
        reach, costs = resource.curve.reach, resource.curve.costs
        first, last = cell.first[column], cell.last[column]
        if last == first:
            return float(costs[first]), float(reach[first]), 0.0, 0.0
        more = np.minimum(reach[first + 1 : last + 1], max(most, int(reach[first]) + 1)) - reach[first]
        slopes = (costs[first + 1 : last + 1] - costs[first]) / more
        return float(costs[first]), float(reach[first]), float(more[-1]), float(slopes.min())
    return _charge_terms(resource, cell=cell, most=float(most))


def _charge_terms(resource: Resource, *, cell: Cell, most: float) -> tuple[float, float, float, float]:
    """Own costs of a finish with a least charge, of which at most so much can be on offer."""
    least = float(resource.least_minor)
    if resource.mark & cell.barred:
        return 0.0, 0.0, 0.0, 0.0
    if resource.mark & cell.used:
        return least, least, max(most - least, 0.0), 1.0
    # Whether it is used is open: all of it, set-up included, as a share of the most that can be spent on it.
    setup = sum(setup for mark, setup in cell.model.rules.setups if mark == resource.mark)
    return 0.0, 0.0, most, (setup + max(most, least)) / most if most else 0.0


def resource_rate(resource: Resource) -> float:
    """What a unit of a resource costs at least, bought in any number; nothing for a limit."""
    if isinstance(resource.curve, MeasureCurve):
        return resource.curve.price_minor / resource.curve.per_micro
    if isinstance(resource.curve, PackCurve) and len(resource.curve.costs) > 1:
        return float(resource.curve.costs[-1] / resource.curve.reach[-1])
    return 1.0 if resource.mark else 0.0
