"""
Prices for money and for every resource of a cell, and the upper bounds they give.

Whatever the tolls, the best option of each work at these prices bounds every choice of the cell (Lagrangian
relaxation); good tolls make the bound low. They are found by Newton's method on the bound with its maxima softened,
the softening taken away step by step, and the lowest bound met on the way is kept.
Source: as multipliers.py; softened maxima: Nesterov, Mathematical Programming 103 (2005).
"""

from dataclasses import dataclass

import numpy as np

from campaign.planning.cells import Cell, Terms, resource_rate
from campaign.planning.labels import BoolArray, Stage
from campaign.planning.model import Model
from campaign.planning.multipliers import FloatArray, IntArray, Prices, Regrets, lower_envelope

_NEVER = -1e15
_ROUNDS = 12
_WARM_ROUNDS = 5


@dataclass(frozen=True, slots=True)
class Lines:
    """P bound lines of a cell: prices of money (P,), tolls (P, m) per unit of each resource."""

    money: FloatArray
    tolls: FloatArray

    def joined(self, other: "Lines") -> "Lines":
        """Both together."""
        return Lines(np.concatenate([self.money, other.money]), np.concatenate([self.tolls, other.tolls]))

    def spread(self, *, first: int, last: int, count: int) -> "Lines":
        """This many lines between two of these, evenly by place."""
        at = np.linspace(first, last, count)
        places = np.arange(len(self.money))
        tolls = [np.interp(at, places, self.tolls[:, column]) for column in range(self.tolls.shape[1])]
        return Lines(np.interp(at, places, self.money), np.array(tolls).reshape(len(tolls), count).T)


class Relaxation:
    """A model's options as padded arrays, priced at any prices."""

    def __init__(self, model: Model) -> None:
        groups = model.groups
        self.model = model
        width, columns = max(len(group.costs) for group in groups), len(model.rules.resources)
        self.costs, self.worths = np.zeros((len(groups), width)), np.zeros((len(groups), width))
        self.uses = np.zeros((columns, len(groups), width))
        for i, group in enumerate(groups):
            count = len(group.costs)
            self.costs[i, :count], self.worths[i, :count] = group.costs, group.worths
            self.uses[:, i, :count] = group.uses.T
        self.scale = np.maximum(self.uses.max(axis=(1, 2), initial=1.0), 1.0)
        self.top = max(float(self.worths.max()), 1.0)
        self._unit = (self.uses / self.scale[:, None, None]).reshape(columns, self.costs.size).T
        self._squares = (self._unit[:, :, None] * self._unit[:, None, :]).reshape(len(self._unit), columns**2)

    def rates(self) -> float:
        """The most worth per minor unit that an option gives, by its own costs and the supplies it needs."""
        rates = [resource_rate(resource) for resource in self.model.rules.resources]
        priced = self.costs + np.tensordot(np.array(rates), self.uses, axes=(0, 0)) if rates else self.costs
        paid = priced > 0
        return float((self.worths[paid] / priced[paid]).max()) if paid.any() else 0.0

    def net(self, lines: Lines, *, offered: BoolArray) -> FloatArray:
        """Worth less prices of every option (P, n, O); what is not on offer is never best."""
        tolls = (lines.tolls @ self.uses.reshape(len(self.uses), self.costs.size)).reshape(-1, *self.costs.shape)
        net = self.worths[None] - lines.money[:, None, None] * self.costs[None] - tolls
        return np.where(offered[None], net, _NEVER)

    def settle(self, cell: Cell, *, money: FloatArray, start: FloatArray | None = None) -> Lines:
        """Tolls that make the bounds of a cell low at these prices of money; `start` are tolls of a larger cell."""
        if not len(self.uses):
            return Lines(money, np.zeros((len(money), 0)))
        terms, offered = Terms.of(cell), cell.offered()
        free, more, rates = terms.free / self.scale, terms.more / self.scale, terms.rates * self.scale
        priced = self.net(Lines(money, np.zeros((len(money), len(free)))), offered=offered)
        edge = money[:, None] * np.where(more > 0, rates, 0.0)[None]
        tolls = edge.copy() if start is None else start * self.scale
        best, kept = np.full(len(money), np.inf), tolls.copy()
        rounds = _ROUNDS if start is None else _WARM_ROUNDS
        softness = np.geomspace(self.top * (0.3 if start is None else 0.03), self.top * 0.004, rounds)
        for soft in [*softness, 0.0]:
            net = priced - (tolls @ self._unit.T).reshape(priced.shape)
            peak = net.max(axis=2)
            over = tolls - edge
            bound = peak.sum(axis=1) + (tolls * free + np.maximum(over, 0) * more).sum(axis=1)
            better = bound < best
            best, kept[better] = np.where(better, bound, best), tolls[better]
            if soft:
                shares = np.exp((net - peak[:, :, None]) / soft)
                shares /= shares.sum(axis=2, keepdims=True)
                extra = np.where(more > 0, 1 / (1 + np.exp(-np.clip(over * more / soft, -40, 40))), 0.0)
                tolls = np.maximum(
                    tolls - self._step(shares, tolls=tolls, extra=extra, free=free, more=more, soft=soft), 0
                )
        return Lines(money, kept / self.scale)

    def _step(
        self,
        shares: FloatArray,
        *,
        tolls: FloatArray,
        extra: FloatArray,
        free: FloatArray,
        more: FloatArray,
        soft: float,
    ) -> FloatArray:
        """One Newton step (P, m), no longer than half the best worth in any toll."""
        lines, works, width = shares.shape
        columns = self._unit.shape[1]
        flat = shares.reshape(lines, works * width)
        each = shares.reshape(lines, works, 1, width) @ self._unit.reshape(works, width, columns)[None]
        each = each.reshape(lines, works, columns)
        slope = free + extra * more - flat @ self._unit
        bend = (flat @ self._squares).reshape(lines, columns, columns) - each.transpose(0, 2, 1) @ each
        place = np.arange(columns)
        bend[:, place, place] += extra * (1 - extra) * more**2
        bend /= soft
        bend[:, place, place] += 1e-9 + 1e-3 * bend[:, place, place]
        still = (tolls <= 0) & (slope > 0)
        bend = np.where(still[:, :, None] | still[:, None, :], 0.0, bend)
        bend[:, place, place] = np.where(still, 1.0, bend[:, place, place])
        slope = np.where(still, 0.0, slope)
        step = np.linalg.solve(bend, slope[:, :, None])[:, :, 0]
        return np.clip(step, -self.top / 2, self.top / 2)


def prices_of(relaxation: Relaxation, cell: Cell, lines: Lines) -> tuple[Prices, Lines, IntArray]:
    """
    The lowest bounds that these lines give a cell.

    Returns: the prices, their lines, and the relaxed choice (P, n) of each.
    """
    terms, stages = Terms.of(cell), cell.stages()
    net = relaxation.net(lines, offered=cell.offered())
    over = np.maximum(lines.tolls - lines.money[:, None] * terms.rates, 0)
    fixed = (lines.tolls * terms.free + over * terms.more).sum(axis=1) - lines.money * terms.base
    ways = [[_Way(net, stage=stage, mode=mode) for mode in range(len(stage))] for stage in stages]
    best = [np.max([way.total for way in of_stage], axis=0) for of_stage in ways]
    peaks = np.sum(best, axis=0) + fixed
    chosen, starts = lower_envelope(lines.money, peaks)
    regrets = tuple(
        tuple(way.regrets(top, chosen=chosen) for way in of_stage) for of_stage, top in zip(ways, best, strict=True)
    )
    relaxed = np.zeros((len(chosen), len(cell.model.groups)), dtype=np.int64)
    for of_stage in ways:
        leading = np.argmax([way.total[chosen] for way in of_stage], axis=0)
        for m, way in enumerate(of_stage):
            way.write(relaxed, rows=np.flatnonzero(leading == m), chosen=chosen)
    prices = Prices(
        money=lines.money[chosen],
        peaks=peaks[chosen],
        starts=starts,
        ends=np.append(starts[1:], np.inf),
        regrets=regrets,
        tolerance=1e-9 * (1.0 + float(np.abs(peaks).max())),
    )
    return prices, Lines(lines.money[chosen], lines.tolls[chosen]), relaxed


class _Way:
    """One mode of a stage, priced: net worth of its options and their best sum."""

    def __init__(self, net: FloatArray, *, stage: Stage, mode: int) -> None:
        self.mode = stage[mode]
        self.nets = [net[:, i, picks] for i, picks in zip(self.mode.members, self.mode.picks, strict=True)]
        self.bests = [of.max(axis=1) for of in self.nets]
        self.total: FloatArray = np.sum(self.bests, axis=0)

    def regrets(self, top: FloatArray, *, chosen: IntArray) -> Regrets:
        lost = (
            np.ascontiguousarray((best[:, None] - of)[chosen].T) for best, of in zip(self.bests, self.nets, strict=True)
        )
        return Regrets((top - self.total)[chosen], tuple(lost))

    def write(self, relaxed: IntArray, *, rows: IntArray, chosen: IntArray) -> None:
        """Note the best option of each work in these rows."""
        for member, picks, of in zip(self.mode.members, self.mode.picks, self.nets, strict=True):
            relaxed[rows, member] = picks[of[chosen[rows]].argmax(axis=1)]
