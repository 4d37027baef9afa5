"""From found choices to steps: ties, the regret a proof still needs, and the bound where it is not reached."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from campaign.planning.arrays import BoolArray, FloatArray, IntArray
from campaign.planning.choosing.labels import Coding
from campaign.planning.choosing.multipliers import (
    Group,
    Prices,
)

_NONE_YET = -(2**62)
_AT_ONCE = 4_096  # choices written out together


@dataclass(frozen=True, slots=True)
class Steps:
    """S accepted choices, costs and worths rising strictly: costs, worths, marks (S,); choices (S, n)."""

    costs: IntArray
    worths: IntArray
    marks: IntArray
    choices: IntArray

    @classmethod
    def none(cls, size: int) -> "Steps":
        """No step yet, for `size` groups."""
        empty = np.zeros(0, dtype=np.int64)
        return cls(empty, empty, empty, np.zeros((0, size), dtype=np.int64))

    @classmethod
    def chosen(cls, groups: Sequence[Group], *, choices: IntArray) -> "Steps":
        """The steps that these choices (S, n) make; they must rise in cost and worth already."""
        columns = [
            (group.costs[choices[:, i]], group.worths[choices[:, i]], group.marks[choices[:, i]])
            for i, group in enumerate(groups)
        ]
        return cls(
            costs=np.sum([column[0] for column in columns], axis=0, dtype=np.int64),
            worths=np.sum([column[1] for column in columns], axis=0, dtype=np.int64),
            marks=np.bitwise_or.reduce([column[2] for column in columns]),
            choices=choices,
        )

    def worth_at(self, budgets: IntArray | FloatArray) -> IntArray:
        """Best known worth at each budget; far below zero where nothing is known."""
        place = np.searchsorted(self.costs, budgets, side="right")
        return np.concatenate([[_NONE_YET], self.worths])[place]

    @property
    def ends(self) -> FloatArray:
        """The last budget of each step, just below the next; endless for the last."""
        return np.append(self.costs[1:] - 1.0, np.inf)


@dataclass(frozen=True, slots=True)
class Candidates:
    """N whole choices, not yet sorted; words (N, W) hold both halves side by side."""

    costs: IntArray
    worths: IntArray
    marks: IntArray
    words: IntArray
    codings: tuple[Coding, Coding]

    @classmethod
    def joined(cls, parts: Sequence["Candidates"]) -> "Candidates":
        """All candidates of one or more parts of the same search."""
        return cls(
            costs=np.concatenate([part.costs for part in parts]),
            worths=np.concatenate([part.worths for part in parts]),
            marks=np.concatenate([part.marks for part in parts]),
            words=np.concatenate([part.words for part in parts]),
            codings=parts[0].codings,
        )

    def take(self, index: IntArray) -> "Candidates":
        """The candidates at these places."""
        return Candidates(
            costs=self.costs[index],
            worths=self.worths[index],
            marks=self.marks[index],
            words=self.words[index],
            codings=self.codings,
        )

    def choices(self) -> IntArray:
        """Option indices (N, n), groups in their own order."""
        split = self.codings[0].words
        size = sum(len(coding.members) for coding in self.codings)
        chosen = np.empty((len(self.costs), size), dtype=np.int64)
        for coding, words in zip(self.codings, (self.words[:, :split], self.words[:, split:]), strict=True):
            chosen[:, list(coding.members)] = coding.decode(words)
        return chosen


class Found(Protocol):
    """N whole choices, not yet sorted; written out as option indices only where somebody asks for them."""

    @property
    def costs(self) -> IntArray: ...
    @property
    def worths(self) -> IntArray: ...
    @property
    def marks(self) -> IntArray: ...

    def take(self, index: IntArray) -> "Found":
        """Those at these places."""

    def choices(self) -> IntArray:
        """Option indices (N, n), groups in their own order."""


@dataclass(frozen=True, slots=True)
class Listed:
    """N whole choices, not yet sorted, as option indices (N, n)."""

    costs: IntArray
    worths: IntArray
    marks: IntArray
    picks: IntArray

    def take(self, index: IntArray) -> "Listed":
        """Those at these places."""
        return Listed(self.costs[index], self.worths[index], self.marks[index], self.picks[index])

    def choices(self) -> IntArray:
        """The option indices."""
        return self.picks


def merge(
    steps: Steps,
    found: Found,
    *,
    accept: Callable[[Sequence[int]], bool | None] | None,
    doubts: list[tuple[int, int]],
) -> Steps:
    """
    The best of what was known and what was found.

    Ties: less cost, then fewer marks, then the earlier options. With `accept`, found choices count
    only when it says yes; those it cannot decide are noted in `doubts` as (cost, worth).
    """
    if accept is None:
        found = found.take(on_staircase(found.costs, found.worths))
    known, worths = len(steps.costs), np.concatenate([steps.worths, found.worths])
    costs, marks = np.concatenate([steps.costs, found.costs]), np.concatenate([steps.marks, found.marks])
    kept: list[int] = []
    chosen: list[IntArray] = []
    best = _NONE_YET
    for places in _in_order(costs, worths, np.bitwise_count(marks)):
        # Of millions that are found few can still be the best, and only those are written out.
        hopeful = places[worths[places] > best]
        choices = _choices_at(hopeful, steps=steps, found=found)
        rows = _by_options(_begins(costs[hopeful], worths[hopeful], np.bitwise_count(marks[hopeful])), choices)
        place_of, worth_of, cost_of = (of.tolist() for of in (hopeful, worths[hopeful], costs[hopeful]))
        for row in rows:
            if worth_of[row] <= best:
                continue
            verdict = accept is None or place_of[row] < known or accept(choices[row].tolist())
            if verdict:
                best = worth_of[row]
                kept.append(place_of[row])
                chosen.append(choices[row].copy())  # a view would keep all that was written out beside it
            elif verdict is None:
                doubts.append((cost_of[row], worth_of[row]))
    index = np.asarray(kept, dtype=np.int64)
    return Steps(costs[index], worths[index], marks[index], np.stack(chosen) if chosen else steps.choices[:0])


def _in_order(costs: IntArray, worths: IntArray, counts: IntArray) -> Iterator[IntArray]:
    """All places, cheap ones and of those the worthier first, then fewer marks; some at a time, equals together."""
    order = np.lexsort([counts, -worths, costs])
    begins = np.flatnonzero(_begins(costs[order], worths[order], counts[order]))
    first = 0
    while first < len(order):
        after = int(np.searchsorted(begins, first + _AT_ONCE))
        last = int(begins[after]) if after < len(begins) else len(order)
        yield order[first:last]
        first = last


def _by_options(begins: BoolArray, choices: IntArray) -> list[int]:
    """The rows as they are, but those that are tied with the one before by their earlier options."""
    rows = np.arange(len(begins))
    tied = ~begins
    tied[:-1] |= ~begins[1:]
    among = np.flatnonzero(tied)
    rows[among] = among[np.lexsort([*choices[among].T[::-1], np.cumsum(begins)[among]])]
    ordered: list[int] = rows.tolist()
    return ordered


def _begins(*sorted_columns: IntArray) -> BoolArray:
    """Where a row differs from the one before it."""
    differs = np.ones(len(sorted_columns[0]), dtype=bool)
    differs[1:] = np.logical_or.reduce([column[1:] != column[:-1] for column in sorted_columns])
    return differs


def _choices_at(places: IntArray, *, steps: Steps, found: Found) -> IntArray:
    """Option indices of those at these places, the known ones standing before the found ones."""
    is_known = places < len(steps.costs)
    choices = np.empty((len(places), steps.choices.shape[1]), dtype=np.int64)
    choices[is_known] = steps.choices[places[is_known]]
    choices[~is_known] = found.take(places[~is_known] - len(steps.costs)).choices()
    return choices


def on_staircase(costs: IntArray, worths: IntArray) -> IntArray:
    """Places of the candidates that no cheaper or equally cheap one exceeds in worth; equals all stay."""
    order = np.lexsort((-worths, costs))
    cost, worth = costs[order], worths[order]
    best = np.maximum.accumulate(worth)
    group = np.searchsorted(cost, cost, side="left")
    before = np.concatenate([[_NONE_YET], best])[group]
    return np.sort(order[(worth == best) & (worth > before)])


def needed_regret(prices: Prices, *, steps: Steps, ceiling: Steps | None) -> FloatArray:
    """
    Per price vector, the regret up to which choices must have been looked at before the steps are proved.

    A choice matters where it is worth a point more than the step at some budget, or equals a step in both cost and
    worth; at budgets where the step already reaches the ceiling nothing matters.
    """
    needed = np.full(len(prices.money), -np.inf)
    if not len(steps.costs):
        return np.full(len(prices.money), np.inf)
    needed[prices.starts < steps.costs[0]] = np.inf
    last = steps.ends
    # Beyond the last step the bound grows without end unless money has no price, which holds for the last vector.
    far = steps.costs if ceiling is None else ceiling.costs
    last[-1] = max(prices.starts[-1], float(steps.costs[-1]), float(far[-1]))
    edges = prices.ends[:-1]
    for budgets, over in ((steps.costs.astype(np.float64), 0.0), (last, 1.0), (edges[edges >= steps.costs[0]], 1.0)):
        owners = prices.owner(budgets)
        if over and budgets is not last:
            owners = np.flatnonzero(edges >= steps.costs[0])
        worths = steps.worth_at(budgets)
        gap = prices.peaks[owners] + prices.money[owners] * budgets - worths - over
        if ceiling is not None:
            gap = np.where(worths < ceiling.worth_at(budgets), gap, -np.inf)
        np.maximum.at(needed, owners, gap)
    return needed


def step_bounds(
    prices: Prices,
    *,
    steps: Steps,
    done: FloatArray,
    needed: FloatArray,
    ceiling: Steps | None,
    doubts: Sequence[tuple[int, int]],
) -> IntArray:
    """
    Upper bound on the best worth at every budget of each step; the step's worth itself where proved.

    Parameters: done, the regret up to which everything was looked at; needed, what a proof asks for; doubts, choices
        that could be neither accepted nor refused.
    """
    bounds = steps.worths.copy()
    lows, highs = steps.costs.astype(np.float64), steps.ends
    for p in np.flatnonzero(needed > done):
        meets = (prices.starts[p] <= highs) & (prices.ends[p] >= lows)
        at = np.minimum(highs, prices.ends[p])
        rise = prices.money[p] * at if prices.money[p] else 0.0
        height = np.minimum(prices.peaks[p] + rise - done[p] + prices.tolerance, 2.0**62)
        bounds = np.where(meets, np.maximum(bounds, np.floor(height).astype(np.int64)), bounds)
    if ceiling is not None:
        bounds = np.minimum(bounds, ceiling.worth_at(highs))
    for cost, worth in doubts:
        bounds = np.where(highs >= cost, np.maximum(bounds, worth), bounds)
    # More money never lowers the best, so a later bound holds for every earlier step.
    return np.minimum.accumulate(bounds[::-1])[::-1]
