"""
Prices for money and for every resource of a cell, and the upper bounds they give.

Whatever the tolls, the best option of each work at these prices bounds every choice of the cell (Lagrangian
relaxation); good tolls make the bound low. They are found by Newton's method on the bound with its maxima softened,
the softening taken away step by step, and the lowest bound met on the way is kept.
Source: as multipliers.py; softened maxima: Nesterov, Mathematical Programming 103 (2005).
"""

from dataclasses import dataclass

import numpy as np

from campaign.planning.arrays import BoolArray, FloatArray, IntArray
from campaign.planning.choosing.cells import Cell, Terms, resource_rate
from campaign.planning.choosing.labels import IndexArray, Stage
from campaign.planning.choosing.model import Model
from campaign.planning.choosing.multipliers import (
    Prices,
    Regrets,
    lower_envelope,
)

_NEVER = -1e15
_SOFT, _WARM_SOFT, _SHARP = 0.3, 0.1, 0.02  # of the best worth of an option
_DAMP, _MORE, _LESS = 10.0, 4.0, 2.0
_ROUNDS = 16
_WARM_ROUNDS = 10


@dataclass(frozen=True, slots=True)
class Lines:
    """P bound lines of a cell: prices of money (P,), tolls (P, m) per unit of each resource."""

    money: FloatArray
    tolls: FloatArray

    def joined(self, other: "Lines") -> "Lines":
        """Both together."""
        return Lines(np.concatenate([self.money, other.money]), np.concatenate([self.tolls, other.tolls]))

    def only(self, index: IndexArray) -> "Lines":
        """The lines at these places."""
        return Lines(self.money[index], self.tolls[index])


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
        self.top = max(float(self.worths.max()), 1.0)
        priced = self.costs + np.tensordot(
            np.array([resource_rate(r) for r in model.rules.resources]), self.uses, axes=1
        )
        used = np.maximum(self.uses.max(axis=(1, 2), initial=1.0), 1.0)
        # One unit of money, and of each resource, is the most that an option takes.
        self.scale = np.append(max(float(priced.max()), 1.0), used)
        stacked = np.concatenate([self.costs[None], self.uses]).reshape(columns + 1, self.costs.size)
        self.unit = (stacked / self.scale[:, None]).T
        self.squares = (self.unit[:, :, None] * self.unit[:, None, :]).reshape(len(self.unit), (columns + 1) ** 2)

    def net(self, lines: Lines, *, offered: BoolArray) -> FloatArray:
        """Worth less prices of every option (P, n, O); what is not on offer is never best."""
        tolls = (lines.tolls @ self.uses.reshape(len(self.uses), self.costs.size)).reshape(-1, *self.costs.shape)
        net = self.worths[None] - lines.money[:, None, None] * self.costs[None] - tolls
        return np.where(offered[None], net, _NEVER)

    def settle(self, cell: Cell, *, budgets: FloatArray, start: Lines | None = None) -> Lines:
        """
        Lines that bound a cell low at each of these budgets (P,), and one that holds at any budget, last.

        Parameters: start, as many lines of a larger cell to begin from.
        """
        ground = _Ground(self, cell=cell, budgets=budgets)
        at = ground.start() if start is None else np.column_stack([start.money, start.tolls]) * self.scale
        at[-1, 0] = 0.0
        best, kept = np.full(len(at), np.inf), at.copy()
        before, last, step = best.copy(), at.copy(), at
        damping = np.full(len(at), _DAMP / self.top)
        rounds = _ROUNDS if start is None else _WARM_ROUNDS
        for soft in [*self.top * np.geomspace(_SOFT if start is None else _WARM_SOFT, _SHARP, rounds), 0.0]:
            look = ground.look(at, soft=soft)
            better = look.bound < best
            best, kept[better] = np.where(better, look.bound, best), at[better]
            if soft:
                # A step that made it worse is taken back, and the next one is shorter.
                worse = look.softened > before
                damping = np.where(worse, damping * _MORE, damping / _LESS)
                before, last = np.where(worse, before, look.softened), np.where(worse[:, None], last, at)
                step = np.where(worse[:, None], step / _MORE, ground.step(look, at=at, soft=soft, damping=damping))
                at = np.maximum(last - step, 0.0)
                at[-1, 0] = 0.0
        kept = kept / self.scale
        return Lines(kept[:, 0], kept[:, 1:])


@dataclass(frozen=True, slots=True)
class _Look:
    """One evaluation: softened shares of the options (P, n, O) and of what is bought (P, m), bound, softened bound."""

    shares: FloatArray
    bought: FloatArray
    bound: FloatArray
    softened: FloatArray


class _Ground:
    """
    The bound of one cell as a function of the prices (P, 1 + m): of money first, then of each resource.

    Money is one more resource, of which each line has what its budget leaves; all in units of the relaxation.
    """

    def __init__(self, relaxation: Relaxation, *, cell: Cell, budgets: FloatArray) -> None:
        terms, scale = Terms.of(cell), relaxation.scale
        self.top, self.unit, self.squares = relaxation.top, relaxation.unit, relaxation.squares
        self.worths = np.where(cell.offer.options, relaxation.worths, _NEVER)
        room = np.append(budgets, 0.0) - terms.base
        self.free = np.column_stack([room, np.tile(terms.free, (len(room), 1))]) / scale
        # Buying more of a resource: what it gives, and what it takes of the money.
        more = np.append(0.0, terms.more) / scale
        self.buys = np.diag(more)[:, 1:]
        self.buys[0] = -terms.rates * terms.more / scale[0]

    def start(self) -> FloatArray:
        """Prices to begin from: a fair one for money, and for the resources what buying them costs."""
        lines = len(self.free)
        at = np.zeros((lines, len(self.free[0])))
        at[:, 0] = self.top * np.linspace(1.0, 0.0, lines)
        with np.errstate(divide="ignore", invalid="ignore"):
            rates = np.where(self.buys.sum(axis=0) > -np.inf, -self.buys[0] / np.diag(self.buys[1:]), 0.0)
        at[:, 1:] = at[:, :1] * np.nan_to_num(rates, nan=0.0, posinf=0.0, neginf=0.0)
        return at

    def look(self, at: FloatArray, *, soft: float) -> _Look:
        """The bounds at these prices, sharp and softened."""
        net = self.worths[None] - (at @ self.unit.T).reshape(len(at), *self.worths.shape)
        peak = net.max(axis=2)
        gain = at @ self.buys
        paid = (at * self.free).sum(axis=1)
        bound = peak.sum(axis=1) + paid + np.maximum(gain, 0).sum(axis=1)
        if not soft:
            return _Look(net, gain, bound, bound)
        shares = np.exp((net - peak[:, :, None]) / soft)
        total = shares.sum(axis=2)
        small = np.log1p(np.exp(-np.abs(gain) / soft)).sum(axis=1)
        softened = bound + soft * (np.log(total).sum(axis=1) + small)
        bought = 1 / (1 + np.exp(-np.clip(gain / soft, -40, 40)))
        return _Look(shares / total[:, :, None], bought, bound, softened)

    def step(self, look: _Look, *, at: FloatArray, soft: float, damping: FloatArray) -> FloatArray:
        """One Newton step (P, 1 + m) on the softened bound."""
        lines, works, width = look.shares.shape
        columns = at.shape[1]
        flat = look.shares.reshape(lines, works * width)
        each = look.shares.reshape(lines, works, 1, width) @ self.unit.reshape(works, width, columns)[None]
        each = each.reshape(lines, works, columns)
        slope = self.free + look.bought @ self.buys.T - flat @ self.unit
        bend = (flat @ self.squares).reshape(lines, columns, columns) - each.transpose(0, 2, 1) @ each
        bend += np.einsum("pr,ar,br->pab", look.bought * (1 - look.bought), self.buys, self.buys)
        bend /= soft
        place = np.arange(columns)
        bend[:, place, place] += damping[:, None] + 1e-9
        still = (at <= 0) & (slope > 0)
        still[-1, 0] = True
        bend = np.where(still[:, :, None] | still[:, None, :], 0.0, bend)
        bend[:, place, place] = np.where(still, 1.0, bend[:, place, place])
        step = np.linalg.solve(bend, np.where(still, 0.0, slope)[:, :, None])[:, :, 0]
        return np.clip(step, -self.top, self.top)


def prices_of(relaxation: Relaxation, cell: Cell, lines: Lines) -> tuple[Prices, Lines, IntArray]:
    """
    The lowest bounds that these lines give a cell.

    Returns: the prices, their lines, and the relaxed choice (P, n) of each.
    """
    terms, stages = Terms.of(cell), cell.offer.stages
    net = relaxation.net(lines, offered=cell.offer.options)
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
