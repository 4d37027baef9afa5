"""Partial choices ("labels") over half of the works, pruned by bounds and by each other; no joining here."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from campaign.planning.arrays import BoolArray, FloatArray, IntArray
from campaign.planning.choosing.multipliers import (
    Group,
    Prices,
)

_BUCKETS = 24
_BUCKETS_EACH_OF_TWO = 10
_STRONG = 32
IndexArray = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Coding:
    """How the options of a half are packed into 63-bit words, so that smaller words mean an earlier own order."""

    members: tuple[int, ...]
    bits: int

    @property
    def per_word(self) -> int:
        """How many works one word holds."""
        return 62 // self.bits

    @property
    def words(self) -> int:
        """How many words a label carries."""
        return -(-len(self.members) // self.per_word)

    def slot(self, position: int) -> tuple[int, int]:
        """Word and left shift of the work at a position in own order."""
        word, place = divmod(position, self.per_word)
        return word, self.bits * (self.per_word - 1 - place)

    def decode(self, words: IntArray) -> IntArray:
        """Option indices (N, len(members)) from words (N, W)."""
        chosen = np.empty((len(words), len(self.members)), dtype=np.int64)
        for position in range(len(self.members)):
            word, shift = self.slot(position)
            chosen[:, position] = (words[:, word] >> shift) & ((1 << self.bits) - 1)
        return chosen


def coding_for(members: Sequence[int], *, groups: Sequence[Group]) -> Coding:
    """Coding of the works `members`, in own order, wide enough for the largest group."""
    widest = max((len(groups[i].costs) for i in members), default=1)
    return Coding(members=tuple(sorted(members)), bits=max(int(widest - 1).bit_length(), 1))


@dataclass(frozen=True, slots=True)
class Labels:
    """N partial choices: costs, worths, marks (N,); uses (N, m + e); words (N, W); regrets (P, N)."""

    costs: IntArray
    worths: IntArray
    uses: IntArray
    marks: IntArray
    words: IntArray
    regrets: FloatArray

    def take(self, index: IndexArray) -> "Labels":
        """The labels at these places."""
        return Labels(
            costs=self.costs[index],
            worths=self.worths[index],
            uses=self.uses[index],
            marks=self.marks[index],
            words=self.words[index],
            regrets=self.regrets[:, index],
        )

    def raised(self, start: FloatArray) -> "Labels":
        """The same labels with more regret (P,)."""
        return replace(self, regrets=self.regrets + start[:, None])


@dataclass(frozen=True, slots=True)
class Mode:
    """One way to decide some works: which options of each may be taken; `members` are groups by index."""

    members: tuple[int, ...]
    picks: tuple[IntArray, ...]


# Works that are decided together, in one of some modes: a work by itself, or a series in one finish.
Stage = tuple[Mode, ...]


@dataclass(frozen=True, slots=True)
class Half:
    """
    Half of the stages in the order they are decided, with what the limits leave after the other half's least.

    `places` are the stages by index; `watched` are the marks without which a label cannot replace another, `compared`
    the uses of which it must not have more (all of them when None).
    """

    groups: tuple[Group, ...]
    stages: tuple[Stage, ...]
    places: tuple[int, ...]
    coding: Coding
    room: IntArray
    watched: int = 0
    compared: tuple[int, ...] | None = None

    def undominated(
        self, *, costs: IntArray, worths: IntArray, uses: IntArray, marks: IntArray, words: IntArray
    ) -> IndexArray:
        """The labels of this half worth keeping; see `undominated` below."""
        compared = uses if self.compared is None else uses[:, self.compared]
        return undominated(costs=costs, worths=worths, uses=compared, marks=marks, words=words, watched=self.watched)

    def rooms(self) -> dict[int, IntArray]:
        """What the limits leave at each group, when all that are decided later take their least."""
        later = np.zeros(len(self.room), dtype=np.int64)
        rooms = {}
        for stage in reversed(self.stages):
            for member in reversed(stage[0].members):
                rooms[member] = self.room - later
                later = later + self.groups[member].uses.min(axis=0)
        return rooms


def grow(half: Half, *, prices: Prices, slack: FloatArray, keep: int | None, limit: int) -> tuple[Labels, FloatArray]:
    """
    All partial choices over a half that can still matter.

    Parameters: slack (P,), the regret a whole choice may have; keep, if given, how many labels survive per price
        vector (a beam, incomplete on purpose); limit, most labels carried from one work to the next.
    Returns: the labels, and the slack that was honoured: lower than asked where the limit struck.
    """
    honoured = slack.copy()
    labels = _seed(half, prices=prices)
    rooms = half.rooms()
    for stage, place in zip(half.stages, half.places, strict=True):
        ways = []
        for mode, entry in zip(stage, prices.regrets[place], strict=True):
            way = labels.raised(entry.start) if len(stage) > 1 else labels
            for member, picks, regrets in zip(mode.members, mode.picks, entry.regrets, strict=True):
                move = _Move(half, member=member, picks=picks, regrets=regrets, room=rooms[member])
                way = move.extend(way, slack=honoured + prices.tolerance)
                way, honoured = _kept(way, honoured=honoured, keep=keep, limit=limit)
            ways.append(way)
        labels = ways[0] if len(ways) == 1 else _united(ways, half=half)
        labels, honoured = _kept(labels, honoured=honoured, keep=keep, limit=limit)
    return labels, honoured


def _kept(labels: Labels, *, honoured: FloatArray, keep: int | None, limit: int) -> tuple[Labels, FloatArray]:
    """As many labels as may be carried on, and the slack that this honours."""
    if keep is not None:
        return _beam(labels, keep=keep), honoured
    if len(labels.costs) <= limit:
        return labels, honoured
    # Every price vector keeps its own best ones, so what is cut off is known: a larger regret.
    rank = max(limit // 8, 1)
    honoured = np.minimum(honoured, np.partition(labels.regrets, rank, axis=1)[:, rank])
    return labels.take(np.flatnonzero((labels.regrets <= honoured[:, None]).any(axis=0))), honoured


def _united(ways: Sequence[Labels], *, half: Half) -> Labels:
    joined = Labels(
        costs=np.concatenate([way.costs for way in ways]),
        worths=np.concatenate([way.worths for way in ways]),
        uses=np.concatenate([way.uses for way in ways]),
        marks=np.concatenate([way.marks for way in ways]),
        words=np.concatenate([way.words for way in ways]),
        regrets=np.concatenate([way.regrets for way in ways], axis=1),
    )
    kept = half.undominated(
        costs=joined.costs, worths=joined.worths, uses=joined.uses, marks=joined.marks, words=joined.words
    )
    return joined.take(kept)


def _seed(half: Half, *, prices: Prices) -> Labels:
    zero = np.zeros(1, dtype=np.int64)
    columns = half.groups[0].uses.shape[1] + half.groups[0].forms.shape[1]
    return Labels(
        costs=zero,
        worths=zero,
        uses=np.zeros((1, columns), dtype=np.int64),
        marks=zero,
        words=np.zeros((1, half.coding.words), dtype=np.int64),
        regrets=np.zeros((len(prices.money), 1)),
    )


@dataclass(frozen=True, slots=True)
class _Move:
    """Deciding one work: its options on offer, their regrets (O, P) and the room there is when it is decided."""

    half: Half
    member: int
    picks: IntArray
    regrets: FloatArray
    room: IntArray

    def extend(self, labels: Labels, *, slack: FloatArray) -> Labels:
        """All labels with one of the options added that can still matter."""
        group = self.half.groups[self.member]
        parents, places = self._survivors(labels, group=group, slack=slack)
        picks = self.picks[places]
        word, shift = self.half.coding.slot(self.half.coding.members.index(self.member))
        words = labels.words[parents]
        words[:, word] += picks << shift
        steps = np.hstack([group.uses, group.forms])
        costs, worths = labels.costs[parents] + group.costs[picks], labels.worths[parents] + group.worths[picks]
        uses, marks = labels.uses[parents] + steps[picks], labels.marks[parents] | group.marks[picks]
        kept = self.half.undominated(costs=costs, worths=worths, uses=uses, marks=marks, words=words)
        return Labels(
            costs=costs[kept],
            worths=worths[kept],
            uses=uses[kept],
            marks=marks[kept],
            words=words[kept],
            regrets=labels.regrets[:, parents[kept]] + self.regrets[places[kept]].T,
        )

    def _survivors(self, labels: Labels, *, group: Group, slack: FloatArray) -> tuple[IndexArray, IndexArray]:
        """Pairs (label, place among the picks) that respect the room and whose bound still reaches what is known."""
        parents, places = [], []
        for place, pick in enumerate(self.picks):
            reaching = (labels.regrets <= (slack - self.regrets[place])[:, None]).any(axis=0)
            for resource in range(len(self.room)):
                reaching &= labels.uses[:, resource] <= self.room[resource] - group.uses[pick, resource]
            index = np.flatnonzero(reaching)
            parents.append(index)
            places.append(np.full(len(index), place))
        return np.concatenate(parents), np.concatenate(places)


def undominated(
    *, costs: IntArray, worths: IntArray, uses: IntArray, marks: IntArray, words: IntArray, watched: int = 0
) -> IndexArray:
    """
    Labels worth keeping, ordered by cost.

    Drops exact repeats (the earlier own order stays) and labels that another beats: no dearer, no less worth, no
    larger in any use, without a watched mark that the other lacks, and better in cost or worth. Equal cost and worth
    with other marks stays, for the tie rule.
    Not every beaten label is found: the test is a coarse one that never drops a needed label.
    """
    keys = [*words.T[::-1], marks, *uses.T[::-1], -worths, costs]
    order = np.lexsort(keys)
    same = np.ones(len(order), dtype=bool)
    same[:1] = False
    for key in (costs, worths, marks, *uses.T):
        sorted_key = key[order]
        same[1:] &= sorted_key[1:] == sorted_key[:-1]
    order = order[~same]
    if len(order) < 16:
        return order
    costs, worths, uses, seen = costs[order], worths[order], uses[order], marks[order] & watched
    lost = np.zeros(len(order), dtype=bool)
    for one in np.unique(seen):
        rivals = np.flatnonzero((seen & ~one) == 0)
        if len(rivals) >= 16:
            lost[rivals] |= _beaten(costs[rivals], worths[rivals], uses[rivals]) & (seen[rivals] == one)
    return order[~lost]


def _beaten(costs: IntArray, worths: IntArray, uses: IntArray) -> BoolArray:
    by = _beaten_in_buckets if uses.shape[1] <= 2 else _beaten_by_strong
    return by(costs, worths, uses)


def _beaten_in_buckets(costs: IntArray, worths: IntArray, uses: IntArray) -> BoolArray:
    """
    Running best worth per bucket of use, along rising cost; a label loses to the buckets at or below its uses.

    One or two uses, each cut into buckets with about equally many labels.
    """
    count = len(costs)
    buckets = _BUCKETS if uses.shape[1] <= 1 else _BUCKETS_EACH_OF_TWO
    shape, at, below = [], [], []
    for use in uses.T:
        edges = np.unique(np.sort(use)[np.arange(1, buckets + 1) * count // buckets - 1])
        bucket = np.searchsorted(edges, use, side="left")
        shape.append(len(edges) + 1)
        at.append(bucket + 1)
        below.append(bucket + (use == edges[bucket]))
    best = np.full((*shape, count + 1), -1, dtype=np.int64)
    best[(*at, np.arange(1, count + 1))] = worths
    for axis in range(best.ndim):
        np.maximum.accumulate(best, axis=axis, out=best)
    cheaper = np.searchsorted(costs, costs, side="left")
    return np.asarray((best[(*below, cheaper)] >= worths) | (best[(*below, np.arange(count))] > worths))


def _beaten_by_strong(costs: IntArray, worths: IntArray, uses: IntArray) -> BoolArray:
    """Compare with a few labels spread over the cost range that give much worth for little use."""
    count = len(costs)
    lost = np.zeros(count, dtype=bool)
    load = (uses / np.maximum(uses.max(axis=0), 1)).sum(axis=1)
    score = worths / max(int(worths.max()), 1) - load / uses.shape[1]
    width = max(count // _STRONG, 1)
    for start in range(0, count, width):
        strong = start + int(score[start : start + width].argmax())
        better = (costs[strong] < costs) | (worths[strong] > worths)
        lost |= better & (costs[strong] <= costs) & (worths[strong] >= worths) & (uses[strong] <= uses).all(axis=1)
    return lost


def _beam(labels: Labels, *, keep: int) -> Labels:
    if len(labels.costs) <= 4 * keep:
        return labels
    best = np.argpartition(labels.regrets, keep, axis=1)[:, :keep]
    return labels.take(np.unique(best))
