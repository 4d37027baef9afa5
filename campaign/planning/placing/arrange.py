"""Which of all ways to hang a choice looks best: series together, large works not squeezed; what hangs is settled."""

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from campaign.planning.placing.apart import is_apart, order_row, row_items
from campaign.planning.placing.rows import SPARE, Undecided
from campaign.planning.placing.ties import Task

MOST_PASSES = 6
# What a series costs on one more wall, and on one more piece of a wall, in thousandths of how crowded the room is.
WALL_SPLIT = 60
PIECE_SPLIT = 30


def spread(task: Task) -> tuple[int, ...] | None:
    """Largest frames first, each to the piece that is left with the widest gaps; None when that does not work out."""
    free = [piece.length_mm for piece in task.pieces]
    count = [0] * len(free)
    chosen = [-1] * len(task.widths)
    for i in sorted(range(len(chosen)), key=lambda i: (len(task.allowed[i]), -task.widths[i], i)):
        gaps = {
            place: (free[place] - task.widths[i]) // (count[place] + 2)
            for place in sorted(task.allowed[i])
            if free[place] - task.widths[i] >= task.pieces[place].gap_mm * (count[place] + 2)
        }
        if not gaps:
            return None
        chosen[i] = max(gaps, key=lambda place: gaps[place])
        free[chosen[i]] -= task.widths[i]
        count[chosen[i]] += 1
    return tuple(chosen)


@dataclass(slots=True)
class _Room:
    """An assignment under improvement: what hangs in every piece, and how crowded the room is by it."""

    task: Task
    series: tuple[str, ...]
    chosen: list[int]
    widths: list[int]
    counts: list[int]
    even_mm: int
    members: Mapping[str, tuple[int, ...]]
    pinned_walls: Mapping[str, frozenset[str]]

    @classmethod
    def of(cls, task: Task, *, chosen: Sequence[int], series: tuple[str, ...]) -> "_Room":
        widths, counts = [0] * len(task.pieces), [0] * len(task.pieces)
        for i, place in enumerate(chosen):
            widths[place] += task.widths[i]
            counts[place] += 1
        spare = sum(piece.length_mm for piece in task.pieces) - sum(widths)
        even_mm = max(spare // max(len(chosen) + len(task.pieces), 1), 1)
        names = {name for name in series if name}
        members = {name: tuple(i for i in range(len(chosen)) if series[i] == name) for name in names}
        held = list(zip(series[len(chosen) :], task.pinned, strict=True))
        pinned_walls = {name: frozenset(one.row[0] for own, one in held if own == name) for name in names}
        return cls(task, series, list(chosen), widths, counts, even_mm, members, pinned_walls)

    def crowding(self, place: int, *, width_mm: int = 0, count: int = 0) -> int:
        """How crowded a piece is with so much more in it: widths that hang there, more for narrow gaps."""
        width, works = self.widths[place] + width_mm, self.counts[place] + count
        spare = self.task.pieces[place].length_mm - width
        return 1000 * width * (works + 1) * self.even_mm // max(spare, 1)

    def has_room(self, place: int, *, width_mm: int = 0, count: int = 0) -> bool:
        """Whether the gap of a piece is kept with so much more in it."""
        piece, works = self.task.pieces[place], self.counts[place] + count
        return self.widths[place] + width_mm + (works + 1) * piece.gap_mm <= piece.length_mm

    def parting(self, series: str) -> int:
        """What it costs that a series hangs on several walls or pieces of wall."""
        if not series:
            return 0
        used = {self.chosen[i] for i in self.members[series]}
        used_walls = {self.task.pieces[p].wall_code for p in used} | self.pinned_walls[series]
        splits = WALL_SPLIT * (len(used_walls) - 1) + PIECE_SPLIT * (len(used) - 1)
        return splits * sum(self.widths)

    def move(self, i: int, *, place: int) -> None:
        """Hang a frame in another piece."""
        old, width = self.chosen[i], self.task.widths[i]
        self.widths[old] -= width
        self.counts[old] -= 1
        self.widths[place] += width
        self.counts[place] += 1
        self.chosen[i] = place


def improve(task: Task, *, chosen: Sequence[int], series: Sequence[str]) -> tuple[int, ...]:
    """
    Move and exchange works between pieces of wall while the room gets better by it.

    Parameters: series, per item the series it is of, "" for none.
    Returns: an assignment that keeps every gap, height, pin and pair of the task, as the one given does.
    Notes: first improvement in a fixed order, at most MOST_PASSES times over all works; O(works²) each time.
    """
    room = _Room.of(task, chosen=chosen, series=tuple(series))
    for _ in range(MOST_PASSES):
        better = [_move_one(room, i) for i in range(len(chosen))]
        better += [_exchange(room, i, j) for i in range(len(chosen)) for j in range(i)]
        if not any(better):
            break
    return tuple(room.chosen)


def _move_one(room: _Room, i: int) -> bool:
    """Hang one frame where the room is best by it."""
    task, old, width = room.task, room.chosen[i], room.task.widths[i]
    relief = room.crowding(old) - room.crowding(old, width_mm=-width, count=-1)
    parted = room.parting(room.series[i])
    best, best_gain = old, 0
    for place in task.allowed[i]:
        if place == old or not room.has_room(place, width_mm=width, count=1) or not _may_move(task, i, old, place):
            continue
        gain = relief - room.crowding(place, width_mm=width, count=1) + room.crowding(place)
        room.move(i, place=place)
        gain += parted - room.parting(room.series[i])
        if gain > best_gain and _stays_apart(room, {i}):
            best, best_gain = place, gain
        room.move(i, place=old)
    room.move(i, place=best)
    return best != old


def _exchange(room: _Room, i: int, j: int) -> bool:
    """Let two frames change pieces when the room is better by it."""
    task, mine, theirs = room.task, room.chosen[i], room.chosen[j]
    wider = task.widths[i] - task.widths[j]
    if (
        mine == theirs
        or (wider == 0 and room.series[i] == room.series[j])
        or theirs not in task.allowed[i]
        or mine not in task.allowed[j]
        or not room.has_room(theirs, width_mm=wider)
        or not room.has_room(mine, width_mm=-wider)
        or not (_may_move(task, i, mine, theirs) and _may_move(task, j, theirs, mine))
    ):
        return False
    gain = room.crowding(mine) + room.crowding(theirs)
    gain -= room.crowding(mine, width_mm=-wider) + room.crowding(theirs, width_mm=wider)
    named = {room.series[i], room.series[j]}
    parted = sum(room.parting(series) for series in named)
    if gain + parted <= 0:
        return False
    room.move(i, place=theirs)
    room.move(j, place=mine)
    if gain + parted - sum(room.parting(series) for series in named) > 0 and _stays_apart(room, {i, j}):
        return True
    room.move(i, place=mine)
    room.move(j, place=theirs)
    return False


def _may_move(task: Task, i: int, old: int, new: int) -> bool:
    """A work that shares its wall with others stays on it."""
    if not task.bonds or task.bonds[i] < 0:
        return True
    return task.pieces[old].wall_code == task.pieces[new].wall_code


def _stays_apart(room: _Room, moved: set[int]) -> bool:
    """Whether foes can still be kept apart; a move that is hard to judge is not made."""
    if not room.task.foes:
        return True
    try:
        return is_apart(room.task, chosen=room.chosen)
    except Undecided:
        return False


def order_works(
    task: Task, *, chosen: Sequence[int], series: Sequence[str], rank: Sequence[int]
) -> Mapping[int, tuple[int, ...]]:
    """
    The order of the frames in every piece, from the left.

    Parameters: rank, per frame (pinned ones included) its place in the artist's own order, which is kept
        where nothing speaks against it; works of one series side by side, the series nearest to its other part.
    Raises: Undecided.
    """
    orders: dict[int, tuple[int, ...]] = {}
    for groups in row_items(task, chosen=chosen).values():
        seen: set[str] = set()
        wished: list[list[int]] = []
        for at, group in enumerate(groups):
            later = {series[i] for after in groups[at + 1 : at + 2] for i in after}
            wished.append(_by_series(group, series=series, rank=rank, before=seen, after=later))
            seen = {series[i] for i in group}
        for group in _kept_apart(wished, task=task):
            if group and group[0] < len(chosen):
                orders[chosen[group[0]]] = tuple(group)
    return orders


def _by_series(
    group: Sequence[int], *, series: Sequence[str], rank: Sequence[int], before: set[str], after: set[str]
) -> list[int]:
    first: dict[str | int, int] = {}
    for i in sorted(group, key=lambda i: rank[i]):
        first.setdefault(series[i] or i, rank[i])

    def key(i: int) -> tuple[int, int, int]:
        name = series[i]
        side = 0 if not name else (name in after) - (name in before)
        return (side, first[name or i], rank[i])

    return sorted(group, key=key)


def _kept_apart(wished: Sequence[list[int]], *, task: Task) -> Sequence[list[int]]:
    """The wished order where it parts all foes of the row, else one that does with the rest filled in as wished."""
    line = [item for group in wished for item in group]
    if not any(b in task.foes.get(a, frozenset()) for a, b in itertools.pairwise(line)):
        return wished
    order = order_row(wished, foes=task.foes)
    if order is None:
        raise Undecided
    named = {item for item in order if item != SPARE}
    filled: list[list[int]] = []
    tokens = iter(order)
    for group in wished:
        spares = iter([item for item in group if item not in named])
        filled.append([next(spares) if token == SPARE else token for _, token in zip(group, tokens, strict=False)])
    return filled
