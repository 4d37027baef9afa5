"""
All best choices of a show whose costs do not add up: cells split where they are too wide, searched where they are not.

Branch and bound over the structure of a show: which finishes are paid for, and between which numbers of packs of
every supply a choice lies. Every cell has bound lines for all budgets at once; it is left when they promise nothing
beyond the steps known, searched by labels (frontier.py) when that is cheap, and split otherwise. No clock: the effort
is counted in labels; what is left open when it is spent stays in the bounds.
Source: Land and Doig, Econometrica 28 (1960), for branch and bound.
"""

from dataclasses import dataclass, replace

import numpy as np

from campaign.planning.arrays import FloatArray, IntArray
from campaign.planning.choosing.cells import Cell, Terms
from campaign.planning.choosing.climb import climb, listed, trim
from campaign.planning.choosing.effort import Effort
from campaign.planning.choosing.frontier import Guide, Problem, Search
from campaign.planning.choosing.labels import IndexArray
from campaign.planning.choosing.model import Model
from campaign.planning.choosing.multipliers import (
    Group,
    Prices,
)
from campaign.planning.choosing.selection import Steps, merge, needed_regret, step_bounds
from campaign.planning.choosing.tolls import Lines, Relaxation, prices_of
from campaign.planning.costing.curves import PackCurve

_FIRST_REGRET = 0.05  # of the best worth of a single option: how far the first look at a cell goes
_CELL_LABELS = 150  # what opening a cell costs, in labels
_EASY = 150  # so few partial choices are looked at sooner than a cell is split
_FEW = 1_500  # so few are looked at in one round
_MORE_LABELS, _MOST_LABELS = 4, 40_000
_BINS = 24
_BUDGETS = 32
_WIDTH = 0.01  # how much the coarseness of a curve counts beside what one choice pays too little
_BEYOND = 0.5  # budgets looked at lie just above the costs of steps


@dataclass(slots=True)
class Node:
    """A cell with its bounds; `relaxed` are the best choices at its prices, limits not kept."""

    cell: Cell
    prices: Prices
    lines: Lines
    relaxed: IntArray
    promised: FloatArray  # bound at each of the tree's budgets
    done: FloatArray  # regret up to which everything was looked at, per price vector
    limit: int  # labels per half that the next look at it may carry


class Tree:
    """One search over a model; `steps` are the best choices known, `doubts` those that could not be tested."""

    def __init__(self, model: Model, *, groups: tuple[Group, ...], guide: Guide, effort: Effort, known: Steps) -> None:
        self.model = model
        self.groups = groups
        self.guide = replace(guide, label_limit=effort.label_limit, pair_limit=effort.pair_limit)
        self.effort = effort
        self.steps = known
        self.doubts: list[tuple[int, int]] = []
        self.spent = 0
        self._relaxation = Relaxation(model)
        self._open: list[Node] = []
        self._left: list[Node] = []
        self._budgets = np.zeros(0)
        self._looks = np.ones(0)

    def grow(self, *, root: Node | None = None) -> Node | None:
        """
        Search until nothing is open or the effort is spent.

        Parameters: root, where an earlier tree over the same model began; the steps are then good already.
        Returns: where this one began; None when there is no choice at all.
        """
        root = root or self._plant()
        if root is None:
            return None
        self._budgets = np.quantile(self.steps.costs, np.linspace(0, 1, _BUDGETS)) + _BEYOND
        self._looks = np.ones(_BUDGETS)
        self._push(self._node(root.cell, root.prices, root.lines, root.relaxed))
        while self._open and self.spent < self.effort.labels:
            self._visit(self._open.pop(self._next()))
        if self._open and self.spent:
            self.climb()
        return root

    def climb(self, start: IntArray | None = None) -> None:
        """Better steps one change away; of the steps, or of these choices."""
        self.steps = climb(
            self.model, self.steps, guide=self.guide, doubts=self.doubts, rounds=self.effort.rounds, start=start
        )

    def bounds(self) -> IntArray:
        """Upper bound on the best worth at every budget of each step, over all that was left open."""
        bounds = self.steps.worths.copy()
        for node in (*self._left, *self._open):
            prices, done = node.prices, node.done
            needed = needed_regret(prices, steps=self.steps, ceiling=self.guide.ceiling)
            more = step_bounds(
                prices, steps=self.steps, done=done, needed=needed, ceiling=self.guide.ceiling, doubts=()
            )
            bounds = np.maximum(bounds, more)
        for cost, worth in self.doubts:
            bounds = np.where(self.steps.ends >= cost, np.maximum(bounds, worth), bounds)
        return np.asarray(np.minimum.accumulate(bounds[::-1])[::-1])

    def _plant(self) -> Node | None:
        """The whole as one cell, with lines at budgets from nothing to the most that can be spent."""
        cell = Cell.whole(self.model).tight
        if cell.is_empty:
            return None
        free = self._relaxation.settle(cell, budgets=np.zeros(0))
        _, _, relaxed = self._priced(cell, free)
        most = float(self.model.costs_of(relaxed)[0].max())
        budgets = np.linspace(self.model.rules.show_minor, most, 3 * self.effort.lines)
        prices, lines, relaxed = self._priced(cell, self._relaxation.settle(cell, budgets=budgets))
        self._merge(relaxed)
        if self.effort.is_thorough:
            beam = Search(self._problem(cell), prices=prices, guide=self.guide).beam()
            self.keep(beam.choices)
        self.climb()
        return self._node(cell, prices, lines, relaxed)

    def _node(self, cell: Cell, prices: Prices, lines: Lines, relaxed: IntArray) -> Node:
        nothing = np.full(len(prices.money), -prices.tolerance)
        node = Node(cell, prices, lines, relaxed, nothing, nothing, self.effort.label_limit)
        node.promised = self._bound(node, budgets=self._budgets)
        return node

    def _bound(self, node: Node, *, budgets: FloatArray) -> FloatArray:
        """What a cell promises at each budget, over all that was looked at."""
        owners = node.prices.owner(budgets)
        reached = np.maximum(node.done[owners], 0.0)
        return np.asarray(node.prices.peaks[owners] + node.prices.money[owners] * budgets - reached)

    def _priced(self, cell: Cell, lines: Lines) -> tuple[Prices, Lines, IntArray]:
        return prices_of(self._relaxation, cell, lines)

    def _problem(self, cell: Cell) -> Problem:
        resources = len(self.model.rules.resources)
        forms = range(resources, resources + self.groups[0].forms.shape[1])
        return Problem(
            self.groups,
            cell.capacities,
            cell.offer.stages,
            self.model.rules,
            cell.undecided,
            compared=(*cell.decisive, *forms),
        )

    def _merge(self, relaxed: IntArray) -> None:
        """Keep what relaxed choices come to when they are made to fit."""
        self.keep(trim(self.model, np.unique(relaxed, axis=0)))

    def keep(self, choices: IntArray) -> None:
        """Take in those of these choices (N, n) that are better than the steps."""
        found = listed(self.model, choices)
        found = found.take(np.flatnonzero(found.worths >= self.steps.worth_at(found.costs)))
        self.steps = merge(self.steps, found, accept=self.guide.accept, doubts=self.doubts)

    def _push(self, node: Node) -> None:
        needed = needed_regret(node.prices, steps=self.steps, ceiling=self.guide.ceiling)
        if needed.max() > -node.prices.tolerance:
            self._open.append(node)

    def _next(self) -> int:
        """
        The open cell to look at next: the one that promises most at some budget.

        Budgets take turns by how much is promised there beside what is known, and how often it was looked at already,
        so that no part of the staircase waits for another.
        """
        promised = np.array([node.promised for node in self._open])
        gaps = promised.max(axis=0) - self.steps.worth_at(self._budgets)
        if self.guide.ceiling is not None:
            gaps = np.minimum(gaps, self.guide.ceiling.worth_at(self._budgets) - self.steps.worth_at(self._budgets))
        share = gaps / np.maximum(self.steps.worth_at(self._budgets), self._relaxation.top)
        at = int(np.argmax(share / self._looks))
        self._looks[at] += 1
        return int(np.argmax(promised[:, at]))

    def _visit(self, node: Node) -> None:
        needed = needed_regret(node.prices, steps=self.steps, ceiling=self.guide.ceiling)
        wanting = np.flatnonzero(needed > node.done)
        if not len(wanting):
            return
        halves = self._split(node, wanting=wanting, needed=needed)
        count = self._count(node.prices, index=wanting, needed=needed)
        if halves is None and not self.effort.is_thorough and count > self.effort.label_limit:
            self._left.append(node)
        elif halves is None or count <= min(_EASY, self.effort.label_limit):
            is_open = self._search(node, at_once=count <= _FEW)
            if halves is None and is_open:
                self._put_back(node)
            elif not is_open:
                return
        for part in halves or ():
            cell = part.tight
            if not cell.is_empty:
                self._open_cell(cell, parent=node)

    def _search(self, node: Node, *, at_once: bool) -> bool:
        """Look at the choices of a cell as far as its limit allows; whether some may still matter."""
        share = node.limit // self.effort.label_limit
        guide = replace(self.guide, label_limit=node.limit, pair_limit=share * self.effort.pair_limit)
        search = Search(self._problem(node.cell), prices=node.prices, guide=guide)
        search.done = node.done.copy()
        search.settle(self.steps, first=max(_FIRST_REGRET * self._relaxation.top, 1.0), at_once=at_once)
        self.steps, self.spent = search.steps, self.spent + search.labels + _CELL_LABELS
        self.doubts.extend(search.doubts)
        node.done = search.done
        needed = needed_regret(node.prices, steps=self.steps, ceiling=self.guide.ceiling)
        return bool((needed > node.done).any())

    def _put_back(self, node: Node) -> None:
        """A cell that cannot be split waits for its turn with a higher limit, up to the highest."""
        node.limit *= _MORE_LABELS
        node.promised = self._bound(node, budgets=self._budgets)
        (self._open if node.limit <= _MOST_LABELS else self._left).append(node)

    def _open_cell(self, cell: Cell, *, parent: Node) -> None:
        """A part of a cell, with its parent's lines and new ones at budgets where the parent promised something."""
        budgets = self._asked(parent)
        owners = np.append(parent.prices.owner(budgets), len(parent.lines.money) - 1)
        fresh = self._relaxation.settle(cell, budgets=budgets, start=parent.lines.only(owners))
        prices, lines, relaxed = self._priced(cell, parent.lines.joined(fresh))
        self.spent += _CELL_LABELS
        self._merge(relaxed)
        self._push(self._node(cell, prices, lines, relaxed))

    def _asked(self, node: Node) -> FloatArray:
        """Some budgets where a cell promises more than is known, evenly spread over the steps."""
        ends = np.append(self.steps.costs[1:] - 1.0, max(self.steps.costs[-1], node.prices.starts[-1]) + _BEYOND)
        known = (
            self.steps.worths
            if self.guide.ceiling is None
            else np.where(self.steps.worths < self.guide.ceiling.worth_at(ends), self.steps.worths, np.inf)
        )
        asked = np.flatnonzero(self._bound(node, budgets=ends) >= known + 1)
        chosen = asked[np.linspace(0, len(asked) - 1, min(len(asked), self.effort.lines)).astype(int)]
        return np.asarray(ends[chosen])

    def _split(self, node: Node, *, wanting: IndexArray, needed: FloatArray) -> tuple[Cell, ...] | None:
        """Parts of a cell: by a finish that costs something, else by packs, else by a series' finish."""
        cell = node.cell
        open_marks = cell.undecided
        if open_marks:
            mark = open_marks & -open_marks
            return cell.decided(mark, is_used=True), cell.decided(mark, is_used=False)
        parts = self._split_by_packs(cell, relaxed=node.relaxed[int(wanting[np.argmax(needed[wanting])])])
        if parts is not None:
            return parts
        series = [(len(stage[0].members), -i) for i, stage in enumerate(cell.offer.stages) if len(stage) > 1]
        return cell.in_mode(-max(series)[1]) if series else None

    def _split_by_packs(self, cell: Cell, *, relaxed: IntArray) -> tuple[Cell, Cell] | None:
        """Between the numbers of packs where what the relaxed choice would pay lies furthest below what it costs."""
        terms, most, parts = Terms.of(cell), -1.0, None
        for column, resource in enumerate(self.model.rules.resources):
            first, last = cell.first[column], cell.last[column]
            if not isinstance(resource.curve, PackCurve) or first == last:
                continue
            costs, reach = resource.curve.costs, resource.curve.reach
            used = self._used(column, relaxed)
            reached = min(max(int(np.searchsorted(reach, used)), first), last)
            paid = float(costs[first]) + terms.rates[column] * max(used - float(reach[first]), 0.0)
            # Where no pack is begun, the coarser curve goes first.
            short = float(costs[reached]) - paid + _WIDTH * float(costs[last] - costs[first]) / (last - first)
            if short > most:
                most, parts = short, cell.split(column, at=min(max(reached - 1, first), last - 1))
        return parts

    def _used(self, column: int, choice: IntArray) -> int:
        return sum(int(group.uses[pick, column]) for group, pick in zip(self.model.groups, choice, strict=True))

    def _count(self, prices: Prices, *, index: IndexArray, needed: FloatArray) -> float:
        """About how many partial choices of half the works have a small enough regret, dominance not counted."""
        at = index[int(np.argmax(needed[index]))]
        slack = max(float(needed[at]), 1.0)
        counts = np.zeros(_BINS + 1)
        counts[0] = 1.0
        for of_stage in prices.regrets:
            for regret in of_stage[0].regrets:
                moved = np.zeros_like(counts)
                for place in np.minimum(regret[:, at] / slack * _BINS, _BINS + 1).astype(int):
                    if place <= _BINS:
                        moved[place:] += counts[: len(counts) - place]
                counts = moved
        return float(np.sqrt(counts.sum()))
