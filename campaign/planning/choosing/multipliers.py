"""Prices for money and for every other scarce thing, and the upper bounds they give; no search here.

With a price for money and one for each resource, the best option of each work can be read off at once, and the
sum is an upper bound on every budget (Lagrangian relaxation). A set of such price vectors covers all budgets: each
owns the interval of budgets on which its bound is the lowest.
Source: Kellerer, Pferschy, Pisinger, Knapsack Problems (2004), chapters 3 and 11 (bounds by relaxation).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from campaign.planning.arrays import FloatArray, IntArray

PRICES_TRIED = 64
_BISECTIONS = 22


@dataclass(frozen=True, slots=True)
class Group:
    """
    The options of one work, exactly one of which is taken; all arrays run over its options, best loved first.

    costs, worths: (O,); uses: (O, m) of the limited resources; forms: (O, e) further measures that make one
    partial choice as good as another only if none is larger; marks: (O,) bit sets whose union should be small.
    """

    costs: IntArray
    worths: IntArray
    uses: IntArray
    forms: IntArray
    marks: IntArray


@dataclass(frozen=True, slots=True)
class Regrets:
    """What a way to decide some works loses: `start` (P,) by itself, `regrets` per work (O, P) by its options."""

    start: FloatArray
    regrets: tuple[FloatArray, ...]

    def only(self, index: npt.NDArray[np.intp]) -> "Regrets":
        """These price vectors alone."""
        return Regrets(self.start[index], tuple(regret[:, index] for regret in self.regrets))


@dataclass(frozen=True, slots=True)
class Prices:
    """
    P price vectors on the lower envelope of their bounds, cheapest budgets first.

    money: (P,) worth per minor unit, falling; peaks: (P,) bound at budget 0, so the bound at C is peak + money x C;
    starts, ends: (P,) the budgets each owns; regrets: per stage and mode, what an option loses against the best one.
    """

    money: FloatArray
    peaks: FloatArray
    starts: FloatArray
    ends: FloatArray
    regrets: tuple[tuple[Regrets, ...], ...]
    tolerance: float

    def owner(self, budgets: IntArray | FloatArray) -> npt.NDArray[np.intp]:
        """Index of the price vector that owns each budget."""
        return np.maximum(np.searchsorted(self.starts, budgets, side="right") - 1, 0)

    def only(self, index: npt.NDArray[np.intp]) -> "Prices":
        """These price vectors alone, with the intervals they own."""
        return Prices(
            money=self.money[index],
            peaks=self.peaks[index],
            starts=self.starts[index],
            ends=self.ends[index],
            regrets=tuple(tuple(mode.only(index) for mode in stage) for stage in self.regrets),
            tolerance=self.tolerance,
        )


def find_prices(groups: Sequence[Group], *, capacities: Sequence[int], tried: int = PRICES_TRIED) -> Prices:
    """
    Price vectors whose bounds are tight over all budgets.

    Parameters: groups, n >= 1; capacities, one per resource; tried, how many prices of money are tried.
    Returns: those that are the lowest bound somewhere, with their intervals and regrets.
    """
    costs, worths, uses = _padded(groups, resources=len(capacities))
    problem = _Relaxed(costs=costs, worths=worths, uses=uses, capacities=tuple(capacities))
    coarse = _money_prices(groups, tried=tried // 2)
    money = _spread_prices(coarse, costs=problem.priced(coarse)[2], tried=tried)
    net, peaks, _ = problem.priced(money)
    best = net.max(axis=2)
    chosen, starts = lower_envelope(money, peaks)
    regrets = tuple(
        (Regrets(np.zeros(len(chosen)), (_lost(best[chosen, i], net[chosen, i, : len(group.costs)]),)),)
        for i, group in enumerate(groups)
    )
    return Prices(
        money=money[chosen],
        peaks=peaks[chosen],
        starts=starts,
        ends=np.append(starts[1:], np.inf),
        regrets=regrets,
        tolerance=1e-9 * (1.0 + float(np.abs(peaks).max())),
    )


def _lost(best: FloatArray, net: FloatArray) -> FloatArray:
    """Regrets (O, P) from the best net worth (P,) and the net worth of every option (P, O)."""
    return np.ascontiguousarray((best[:, None] - net).T)


def _padded(groups: Sequence[Group], *, resources: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    width = max(len(group.costs) for group in groups)
    costs, worths = np.zeros((len(groups), width)), np.full((len(groups), width), -1e15)
    uses = np.zeros((resources, len(groups), width))
    for i, group in enumerate(groups):
        count = len(group.costs)
        costs[i, :count], worths[i, :count] = group.costs, group.worths
        uses[:, i, :count] = group.uses.T
    return costs, worths, uses


def _money_prices(groups: Sequence[Group], *, tried: int) -> FloatArray:
    """Zero, and a geometric series up to the best worth per minor unit that any option gives."""
    rates = [
        float((group.worths[group.costs > 0] / group.costs[group.costs > 0]).max())
        for group in groups
        if (group.costs > 0).any()
    ]
    top = max(rates, default=0.0)
    if top <= 0:
        return np.zeros(1)
    return np.concatenate([[0.0], np.geomspace(top / 500, top * 1.05, tried - 1)])


def _spread_prices(money: FloatArray, *, costs: FloatArray, tried: int) -> FloatArray:
    """Prices of money between the given ones, such that the relaxed choices cost about evenly spaced sums."""
    if len(money) < 2:
        return money
    rising = np.maximum.accumulate(costs[::-1])
    wanted = np.linspace(rising[0], rising[-1], tried - 1)
    # Prices between which the cost does not move would make the interpolation ambiguous: a slope breaks the tie.
    tilted = rising + np.arange(len(rising)) * (1e-6 * (1.0 + rising[-1]))
    return np.unique(np.concatenate([[0.0, money[-1]], np.interp(wanted, tilted, money[::-1])]))


@dataclass(frozen=True, slots=True)
class _Relaxed:
    """The padded problem: costs, worths (n, O); uses (m, n, O); one capacity per resource."""

    costs: FloatArray
    worths: FloatArray
    uses: FloatArray
    capacities: tuple[int, ...]

    def priced(self, money: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Per price of money: net worth of every option (P, n, O), bound at budget 0 and relaxed cost (P,)."""
        net = self.worths[None] - money[:, None, None] * self.costs[None]
        tolls = np.zeros((len(self.capacities), len(money)))
        for _ in range(min(len(self.capacities), 3)):
            for resource, use in enumerate(self.uses):
                net += tolls[resource][:, None, None] * use[None]
                tolls[resource] = self._clearing_toll(net, resource=resource)
                net -= tolls[resource][:, None, None] * use[None]
        peaks = net.max(axis=2).sum(axis=1) + np.asarray(self.capacities, dtype=np.float64) @ tolls
        costs = self.costs[np.arange(len(self.costs))[None], net.argmax(axis=2)].sum(axis=1)
        return net, peaks, costs

    def _clearing_toll(self, net: FloatArray, *, resource: int) -> FloatArray:
        """Smallest price of one resource, per price of money, at which the relaxed choice respects the capacity."""
        use, capacity = self.uses[resource], self.capacities[resource]
        least = use[use > 0].min() if (use > 0).any() else 1.0
        low, high = np.zeros(net.shape[0]), np.full(net.shape[0], max(float(self.worths.max()), 0.0) / least + 1.0)
        rows = np.arange(net.shape[1])[None]

        def used(toll: FloatArray) -> FloatArray:
            picked = (net - toll[:, None, None] * use[None]).argmax(axis=2)
            return np.asarray(use[rows, picked].sum(axis=1), dtype=np.float64)

        free = used(low) <= capacity
        for _ in range(_BISECTIONS):
            middle = (low + high) / 2
            over = used(middle) > capacity
            low, high = np.where(over, middle, low), np.where(over, high, middle)
        return np.where(free, 0.0, high)


def lower_envelope(slopes: FloatArray, heights: FloatArray) -> tuple[IntArray, FloatArray]:
    """Lines height + slope x C that are lowest somewhere on C >= 0, and where each begins to be."""
    hull: list[int] = []
    starts: list[float] = []
    for line in np.lexsort((heights, -slopes)):
        if hull and slopes[line] == slopes[hull[-1]]:
            continue
        crossing = 0.0
        while hull:
            last = hull[-1]
            crossing = (heights[line] - heights[last]) / (slopes[last] - slopes[line])
            if crossing > starts[-1]:
                break
            hull.pop()
            starts.pop()
        hull.append(int(line))
        starts.append(crossing if len(hull) > 1 else 0.0)
    return np.asarray(hull, dtype=np.int64), np.asarray(starts)
