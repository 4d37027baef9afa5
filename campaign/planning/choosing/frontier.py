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
from typing import Protocol

import numpy as np

from campaign.planning.arrays import BoolArray, FloatArray, IntArray
from campaign.planning.choosing.labels import Half, IndexArray, Labels, Mode, Stage, coding_for, grow
from campaign.planning.choosing.multipliers import (
    Group,
    Prices,
    find_prices,
)
from campaign.planning.choosing.selection import Candidates, Steps, merge, needed_regret, step_bounds

LABEL_LIMIT = 40_000
PAIR_LIMIT = 2_000_000
_PAIRS_AT_ONCE = 20_000
_BEAM = 8
_BEAM_PAIRS = 24
_FIRST_LOOK = 0.6
_MANY_PAIRS = 5_000_000

Accept = Callable[[Sequence[int]], bool | None]


class Bill(Protocol):
    """What whole choices cost beyond the sum of their options' costs, and which sets of marks are allowed."""

    def costs(self, own: IntArray, *, uses: IntArray, marks: IntArray) -> IntArray:
        """Whole costs (N,) from own costs (N,), uses (N, m + e) and marks (N,)."""

    def allows(self, marks: IntArray) -> BoolArray:
        """Whether a choice may have these marks."""


class PlainBill:
    """Nothing beyond the sum."""

    def costs(self, own: IntArray, *, uses: IntArray, marks: IntArray) -> IntArray:
        """The sum itself."""
        return own

    def allows(self, marks: IntArray) -> BoolArray:
        """Always."""
        return np.ones(len(marks), dtype=bool)


@dataclass(frozen=True, slots=True)
class Problem:
    """
    One option per group, stage by stage, under capacities.

    Parameters: stages, the options on offer, every group in exactly one stage; bill, what a whole choice costs;
        watched, the marks that the bill looks at; compared, the uses that the bill or a capacity looks at, None for
        all of them.
    """

    groups: tuple[Group, ...]
    capacities: tuple[int, ...]
    stages: tuple[Stage, ...]
    bill: Bill
    watched: int = 0
    compared: tuple[int, ...] | None = None

    @classmethod
    def plain(cls, groups: Sequence[Group], *, capacities: Sequence[int]) -> "Problem":
        """Every option of every group, costs that add up."""
        stages = tuple((Mode((i,), (np.arange(len(group.costs)),)),) for i, group in enumerate(groups))
        return cls(tuple(groups), tuple(int(capacity) for capacity in capacities), stages, PlainBill())


@dataclass(frozen=True, slots=True)
class Guide:
    """
    What steers a search besides its prices.

    accept, a further test of a whole choice, None when it could not decide; ceiling, a frontier that bounds this one
    from above; limits, most labels per half, most pairs per price vector.
    """

    accept: Accept | None = None
    ceiling: Steps | None = None
    label_limit: int = LABEL_LIMIT
    pair_limit: int = PAIR_LIMIT


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
    known: Steps | None = None,
    guide: Guide | None = None,
) -> Frontier:
    """
    The whole frontier of (cost, worth) where costs add up.

    Parameters: groups, n >= 1, options in the order that breaks ties; capacities, one per resource in `uses`;
        known, choices already accepted.
    Returns: the steps; none when no choice respects the limits. A step is proved when its bound equals its worth.
    Notes: ties go to less cost, then fewer marks, then the earlier options. Deterministic.
    """
    guide = guide or Guide()
    problem = Problem.plain(groups, capacities=capacities)
    prices = find_prices(groups, capacities=capacities)
    search = Search(problem, prices=prices, guide=guide)
    search.settle(known if known is not None else search.beam())
    steps = search.steps
    needed = needed_regret(prices, steps=steps, ceiling=guide.ceiling)
    bounds = step_bounds(
        prices, steps=steps, done=search.done, needed=needed, ceiling=guide.ceiling, doubts=search.doubts
    )
    return Frontier(costs=steps.costs, worths=steps.worths, choices=steps.choices, bounds=bounds)


class Search:
    """
    One problem split in halves.

    `done` is the regret up to which everything has been looked at, per price vector; `doubts` are the choices that
    the further test could not decide; `labels` counts the partial choices made.
    """

    def __init__(self, problem: Problem, *, prices: Prices, guide: Guide) -> None:
        self.prices = prices
        self.guide = guide
        self.problem = problem
        self.steps = Steps.none(len(problem.groups))
        # No choice has a regret below zero, so up to there nothing is left to look at.
        self.done = np.full(len(prices.money), -prices.tolerance)
        self.doubts: list[tuple[int, int]] = []
        self.labels = 0
        self._room = np.asarray(problem.capacities, dtype=np.int64)
        least = [group.uses.min(axis=0) for group in problem.groups]
        total = np.sum(least, axis=0, dtype=np.int64)
        self._halves = []
        for part in _dealt(problem.stages, prices=prices):
            members = [i for place in part for i in problem.stages[place][0].members]
            mine = np.sum([least[i] for i in members], axis=0, dtype=np.int64)
            self._halves.append(
                Half(
                    groups=problem.groups,
                    stages=tuple(problem.stages[place] for place in part),
                    places=tuple(part),
                    coding=coding_for(members, groups=problem.groups),
                    room=self._room - (total - mine),
                    watched=problem.watched,
                    compared=problem.compared,
                )
            )

    def settle(self, steps: Steps, *, first: float = np.inf, at_once: bool = False) -> None:
        """
        Look at every choice that can matter beside the known steps, as far as the limits allow.

        Parameters: first, the largest regret looked at in the first round; at_once, whether there is but one round.
        """
        self.steps = steps
        stuck = np.zeros(len(self.prices.money), dtype=bool)
        allowed = np.inf if at_once else 0.0
        while True:
            needed = needed_regret(self.prices, steps=self.steps, ceiling=self.guide.ceiling)
            wanting = np.flatnonzero((needed > self.done) & ~stuck)
            if not len(wanting):
                break
            typical = float(np.quantile(needed[wanting], 0.25, method="lower"))
            grown = max(1.5 * allowed, min(typical, 3 * allowed))
            allowed = min(max(typical, 1.0), first) if allowed == 0 else grown
            target = np.minimum(needed[wanting], allowed)
            looked, cut = self._run(wanting, slack=target)
            stuck[wanting] = cut
            self.done[wanting] = np.maximum(self.done[wanting], looked)

    def beam(self) -> Steps:
        """Good choices found quickly, to start from."""
        everything = np.full(len(self.prices.money), np.inf)
        sides = [grow(half, prices=self.prices, slack=everything, keep=_BEAM, limit=0)[0] for half in self._halves]
        found = [
            self._pair(sides, left=_best(sides[0], p=p), right=_best(sides[1], p=p)) for p in range(len(everything))
        ]
        return self._merged(Steps.none(len(self.problem.groups)), found)

    def _merged(self, steps: Steps, found: Sequence[Candidates]) -> Steps:
        return merge(steps, Candidates.joined(found), accept=self.guide.accept, doubts=self.doubts)

    def _run(self, index: IndexArray, *, slack: FloatArray) -> tuple[FloatArray, BoolArray]:
        """
        Every choice whose regret under one of these price vectors is within its slack.

        Returns: the regret up to which everything was looked at, which is the slack, or less where the new steps need
        no more or a limit struck; and where a limit struck.
        """
        prices, limit = self.prices.only(index), self.guide.label_limit
        left, honoured = grow(self._halves[0], prices=prices, slack=slack, keep=None, limit=limit)
        right, honoured = grow(self._halves[1], prices=prices, slack=honoured, keep=None, limit=limit)
        self.labels += len(left.costs) + len(right.costs)
        cut = honoured < slack
        looked = honoured
        # Pairs multiply with the regret allowed: where there are many, a first look at fewer of them finds better
        # steps, which then need fewer.
        many = len(left.costs) * len(right.costs) > _MANY_PAIRS
        for share in (_FIRST_LOOK, 1.0) if many else (1.0,):
            needed = needed_regret(self.prices, steps=self.steps, ceiling=self.guide.ceiling)[index]
            looked = np.minimum(honoured * share, needed)
            found = []
            for p in range(len(index)):
                pairs, reached = _pairs_within(
                    left.regrets[p],
                    right.regrets[p],
                    slack=looked[p],
                    tolerance=prices.tolerance,
                    limit=self.guide.pair_limit,
                )
                cut[p] |= reached < looked[p]
                looked[p] = reached
                costs = self._costs((left, right), pairs)
                owned = (costs >= prices.starts[p]) & (costs < prices.ends[p])
                found.append(self._filtered((left, right), (pairs[0][owned], pairs[1][owned]), costs=costs[owned]))
            self.steps = self._merged(self.steps, found)
        return looked, cut

    def _costs(self, sides: Sequence[Labels], pairs: tuple[IndexArray, IndexArray]) -> IntArray:
        own = sides[0].costs[pairs[0]] + sides[1].costs[pairs[1]]
        if isinstance(self.problem.bill, PlainBill):
            return own
        # What each pair uses of everything is a wide row: of all pairs at once it would be hundreds of megabytes.
        parts = (slice(start, start + _PAIRS_AT_ONCE) for start in range(0, len(own), _PAIRS_AT_ONCE))
        billed = [self._billed(sides, (pairs[0][part], pairs[1][part]), own=own[part]) for part in parts]
        return np.concatenate(billed) if billed else own

    def _billed(self, sides: Sequence[Labels], pairs: tuple[IndexArray, IndexArray], *, own: IntArray) -> IntArray:
        uses = sides[0].uses[pairs[0]] + sides[1].uses[pairs[1]]
        return self.problem.bill.costs(own, uses=uses, marks=sides[0].marks[pairs[0]] | sides[1].marks[pairs[1]])

    def _filtered(
        self, sides: Sequence[Labels], pairs: tuple[IndexArray, IndexArray], *, costs: IntArray
    ) -> Candidates:
        worths = sides[0].worths[pairs[0]] + sides[1].worths[pairs[1]]
        useful = worths >= self.steps.worth_at(costs)
        if self.guide.ceiling is not None:
            # A known step that reaches the ceiling is already the right one among its equals.
            useful &= (worths > self.steps.worth_at(costs)) | (worths < self.guide.ceiling.worth_at(costs))
        return self._pair(sides, left=pairs[0][useful], right=pairs[1][useful], crossed=False)

    def _pair(
        self, sides: Sequence[Labels], *, left: IndexArray, right: IndexArray, crossed: bool = True
    ) -> Candidates:
        if crossed:
            left, right = np.repeat(left, len(right)), np.tile(right, len(left))
        parts = [slice(start, start + _PAIRS_AT_ONCE) for start in range(0, max(1, len(left)), _PAIRS_AT_ONCE)]
        fitting = [self._fitting(sides, left[part], right[part]) for part in parts]
        left, right, costs, marks = (np.concatenate(columns) for columns in zip(*fitting, strict=True))
        return Candidates(
            costs=costs,
            worths=sides[0].worths[left] + sides[1].worths[right],
            marks=marks,
            words=np.hstack([sides[0].words[left], sides[1].words[right]]),
            codings=(self._halves[0].coding, self._halves[1].coding),
        )

    def _fitting(
        self, sides: Sequence[Labels], left: IndexArray, right: IndexArray
    ) -> tuple[IndexArray, IndexArray, IntArray, IntArray]:
        """The pairs that respect room and rules, with what they cost and their marks."""
        bill = self.problem.bill
        uses, marks = sides[0].uses[left] + sides[1].uses[right], sides[0].marks[left] | sides[1].marks[right]
        fits = np.flatnonzero((uses[:, : len(self._room)] <= self._room).all(axis=1) & bill.allows(marks))
        left, right, uses, marks = left[fits], right[fits], uses[fits], marks[fits]
        own = sides[0].costs[left] + sides[1].costs[right]
        return left, right, bill.costs(own, uses=uses, marks=marks), marks


def _dealt(stages: Sequence[Stage], *, prices: Prices) -> tuple[list[int], list[int]]:
    """
    Two hands of stages, the most decisive ones first in both, so that both halves shrink early and alike.

    Dealt first, second, second, first, so that neither always gets the better of a pair; a series goes where fewer
    works are.
    """
    second = []
    for of_stage in prices.regrets:
        seconds = [np.partition(r, 1, axis=0)[1].mean() if len(r) > 1 else np.inf for r in of_stage[0].regrets]
        second.append(sum(seconds))
    hands: tuple[list[int], list[int]] = ([], [])
    works = [0, 0]
    for turn, place in enumerate(np.argsort(-np.asarray(second), kind="stable").tolist()):
        hand = (
            int(turn % 4 in (1, 2)) if max(len(stage[0].members) for stage in stages) == 1 else int(works[0] > works[1])
        )
        hands[hand].append(place)
        works[hand] += len(stages[place][0].members)
    return hands


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
