"""
All best choices by cost, exactly: one option per group, most worth, every cost at once, under fixed limits.

Method: price vectors bound every budget from above; the groups are split in two halves and each half is grown to
all partial choices whose regret leaves them a chance; pairs of halves with a small enough joint regret are the only
whole choices that can matter. The regret allowed grows in rounds until it reaches what the best known choices need
for a proof. No clock: where a limit on labels or pairs strikes, the answer carries a bound instead of a proof.
Source: bounds as in multipliers.py; splitting in halves after Horowitz and Sahni, J. ACM 21 (1974).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from campaign.planning.labels import BoolArray, Half, IndexArray, Labels, coding_for, grow
from campaign.planning.multipliers import FloatArray, Group, IntArray, Prices, find_prices
from campaign.planning.selection import Candidates, Steps, merge, needed_regret, step_bounds

LABEL_LIMIT = 40_000
PAIR_LIMIT = 2_000_000
_BEAM = 8
_BEAM_PAIRS = 24
_FIRST_LOOK = 0.6
_MANY_PAIRS = 5_000_000

Accept = Callable[[Sequence[int]], bool | None]


@dataclass(frozen=True, slots=True)
class Frontier:
    """S steps, costs and worths rising: costs, worths, bounds (S,); choices (S, n), the option of each group."""

    costs: IntArray
    worths: IntArray
    choices: IntArray
    bounds: IntArray


def find_frontier(
    groups: Sequence[Group],
    *,
    capacities: Sequence[int],
    accept: Accept | None = None,
    known: Steps | None = None,
    ceiling: Steps | None = None,
    label_limit: int = LABEL_LIMIT,
    pair_limit: int = PAIR_LIMIT,
) -> Frontier:
    """
    The whole frontier of (cost, worth).

    Parameters: groups, n >= 1, options in the order that breaks ties; capacities, one per resource in `uses`;
        accept, a further test of a whole choice, None when it could not decide; known, choices already accepted;
        ceiling, a frontier that bounds this one from above; limits, most labels per half, most pairs per price vector.
    Returns: the steps; none when no choice respects the limits. A step is proved when its bound equals its worth.
    Notes: ties go to less cost, then fewer marks, then the earlier options. Deterministic.
    """
    prices = find_prices(groups, capacities=capacities)
    search = _Search(groups=groups, capacities=capacities, prices=prices, accept=accept, ceiling=ceiling)
    steps = known if known is not None else search.beam()
    done = np.full(len(prices.money), -np.inf)
    stuck = np.zeros(len(prices.money), dtype=bool)
    allowed = 0.0
    while True:
        needed = needed_regret(prices, steps=steps, ceiling=ceiling)
        wanting = np.flatnonzero((needed > done) & ~stuck)
        if not len(wanting):
            break
        typical = float(np.quantile(needed[wanting], 0.25, method="lower"))
        allowed = max(typical, 1.0) if allowed == 0 else max(1.5 * allowed, min(typical, 3 * allowed))
        target = np.minimum(needed[wanting], allowed)
        steps, looked, cut = search.run(
            wanting, slack=target, steps=steps, label_limit=label_limit, pair_limit=pair_limit
        )
        stuck[wanting] = cut
        done[wanting] = np.maximum(done[wanting], looked)
    bounds = step_bounds(prices, steps=steps, done=done, needed=needed, ceiling=ceiling, doubts=search.doubts)
    return Frontier(costs=steps.costs, worths=steps.worths, choices=steps.choices, bounds=bounds)


class _Search:
    """One problem split in halves; remembers which choices the further test could not decide."""

    def __init__(
        self,
        *,
        groups: Sequence[Group],
        capacities: Sequence[int],
        prices: Prices,
        accept: Accept | None,
        ceiling: Steps | None,
    ) -> None:
        self.prices = prices
        self.accept = accept
        self.ceiling = ceiling
        self.doubts: list[tuple[int, int]] = []
        self._size = len(groups)
        self._room = np.asarray(capacities, dtype=np.int64)
        # The most decisive works first, dealt out in turn, so that both halves shrink early and alike.
        second = [np.partition(regret, 1, axis=0)[1].mean() if len(regret) > 1 else np.inf for regret in prices.regrets]
        order = np.argsort(-np.asarray(second), kind="stable")
        least = np.array([group.uses.min(axis=0) for group in groups]).reshape(len(groups), len(self._room))
        self._halves = tuple(
            Half(
                groups=tuple(groups[i] for i in part),
                places=tuple(int(i) for i in part),
                coding=coding_for([int(i) for i in part], groups=groups),
                room=self._room - (least.sum(axis=0) - least[part].sum(axis=0)),
            )
            for part in _dealt(order)
        )

    def beam(self) -> Steps:
        """Good choices found quickly, to start from."""
        everything = np.full(len(self.prices.money), np.inf)
        sides = [grow(half, prices=self.prices, slack=everything, keep=_BEAM, limit=0)[0] for half in self._halves]
        found = [
            self._pair(sides, left=_best(sides[0], p=p), right=_best(sides[1], p=p)) for p in range(len(everything))
        ]
        return merge(Steps.none(self._size), Candidates.joined(found), accept=self.accept, doubts=self.doubts)

    def run(
        self, index: IndexArray, *, slack: FloatArray, steps: Steps, label_limit: int, pair_limit: int
    ) -> tuple[Steps, FloatArray, BoolArray]:
        """
        Every choice whose regret under one of these price vectors is within its slack.

        Returns: the better steps; the regret up to which everything was looked at, which is the slack, or less where
        the new steps need no more or a limit struck; and where a limit struck.
        """
        prices = self.prices.only(index)
        left, honoured = grow(self._halves[0], prices=prices, slack=slack, keep=None, limit=label_limit)
        right, honoured = grow(self._halves[1], prices=prices, slack=honoured, keep=None, limit=label_limit)
        cut = honoured < slack
        looked = honoured
        # Pairs multiply with the regret allowed: where there are many, a first look at fewer of them finds better
        # steps, which then need fewer.
        many = len(left.costs) * len(right.costs) > _MANY_PAIRS
        for share in (_FIRST_LOOK, 1.0) if many else (1.0,):
            needed = needed_regret(self.prices, steps=steps, ceiling=self.ceiling)[index]
            looked = np.minimum(honoured * share, needed)
            found = []
            for p in range(len(index)):
                pairs, reached = _pairs_within(
                    left.regrets[p], right.regrets[p], slack=looked[p], tolerance=prices.tolerance, limit=pair_limit
                )
                cut[p] |= reached < looked[p]
                looked[p] = reached
                costs = left.costs[pairs[0]] + right.costs[pairs[1]]
                owned = (costs >= prices.starts[p]) & (costs < prices.ends[p])
                found.append(self._filtered((left, right), (pairs[0][owned], pairs[1][owned]), steps=steps))
            steps = merge(steps, Candidates.joined(found), accept=self.accept, doubts=self.doubts)
        return steps, looked, cut

    def _filtered(self, sides: Sequence[Labels], pairs: tuple[IndexArray, IndexArray], *, steps: Steps) -> Candidates:
        costs = sides[0].costs[pairs[0]] + sides[1].costs[pairs[1]]
        worths = sides[0].worths[pairs[0]] + sides[1].worths[pairs[1]]
        useful = worths >= steps.worth_at(costs)
        if self.ceiling is not None:
            # A known step that reaches the ceiling is already the right one among its equals.
            useful &= (worths > steps.worth_at(costs)) | (worths < self.ceiling.worth_at(costs))
        return self._pair(sides, left=pairs[0][useful], right=pairs[1][useful], crossed=False)

    def _pair(
        self, sides: Sequence[Labels], *, left: IndexArray, right: IndexArray, crossed: bool = True
    ) -> Candidates:
        if crossed:
            left, right = np.repeat(left, len(right)), np.tile(right, len(left))
        uses = sides[0].uses[left] + sides[1].uses[right]
        fits = np.flatnonzero((uses[:, : len(self._room)] <= self._room).all(axis=1))
        left, right = left[fits], right[fits]
        return Candidates(
            costs=sides[0].costs[left] + sides[1].costs[right],
            worths=sides[0].worths[left] + sides[1].worths[right],
            marks=sides[0].marks[left] | sides[1].marks[right],
            words=np.hstack([sides[0].words[left], sides[1].words[right]]),
            codings=(self._halves[0].coding, self._halves[1].coding),
        )


def _dealt(order: IndexArray) -> tuple[IndexArray, IndexArray]:
    """Two hands dealt first, second, second, first, so that neither always gets the better of a pair."""
    turn = np.arange(len(order)) % 4
    first = (turn == 0) | (turn == 3)
    return order[first], order[~first]


def _best(labels: Labels, *, p: int) -> IndexArray:
    return np.argsort(labels.regrets[p], kind="stable")[:_BEAM_PAIRS]


def _pairs_within(
    left: FloatArray, right: FloatArray, *, slack: float, tolerance: float, limit: int
) -> tuple[tuple[IndexArray, IndexArray], float]:
    """All index pairs whose regrets add up to at most the slack; a smaller slack where that would be too many."""
    lefts = np.flatnonzero(left <= slack + tolerance)
    rights = np.argsort(right, kind="stable")
    ordered = right[rights]
    counts = np.searchsorted(ordered, slack + tolerance - left[lefts], side="right")
    while counts.sum() > limit:
        slack = 0.9 * min(slack, float(left.max() + right.max())) - tolerance
        counts = np.searchsorted(ordered, slack + tolerance - left[lefts], side="right")
    offsets = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)
    return (np.repeat(lefts, counts), rights[offsets]), slack
