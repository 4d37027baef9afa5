"""Every way to put frames into pieces of wall, tried in a good order; quick ways are tried elsewhere first."""

from collections.abc import Sequence

from campaign.planning.placing.apart import is_apart, pinned_rows, row_of
from campaign.planning.placing.rows import Undecided
from campaign.planning.placing.ties import Task


def search(task: Task, *, node_limit: int) -> tuple[int, ...] | None:
    """
    Depth first, ties and hardest frames first.

    Equal pieces are tried once, failed states are remembered, and a branch is left when the pieces, each filled as
    well as the frames still to come allow, cannot take them all.
    Raises: Undecided.
    """
    return _Search(task, node_limit=node_limit).run()


class _Search:
    """The state of one search; `k` counts the frames that have a piece."""

    def __init__(self, task: Task, *, node_limit: int) -> None:
        self.task, self.node_limit = task, node_limit
        tied = task.tied or (False,) * len(task.widths)
        bonds = task.bonds or (-1,) * len(task.widths)
        self.bonds = bonds
        self.order = sorted(
            range(len(task.widths)),
            key=lambda i: (not tied[i], -bonds[i], len(task.allowed[i]), -task.widths[i], i),
        )
        self.tied_count = sum(tied)
        self.gaps = [piece.gap_mm for piece in task.pieces]
        self.free = [piece.length_mm - piece.gap_mm for piece in task.pieces]
        likes = sorted({(piece.max_height_mm, piece.gap_mm) for piece in task.pieces})
        self.ranks = [likes.index((piece.max_height_mm, piece.gap_mm)) for piece in task.pieces]
        self.like_count = len(likes)
        self.least_gap = min(self.gaps, default=0)
        widths = [task.widths[i] for i in self.order]
        self.sums = {gap: suffix_sums([width + gap for width in widths]) for gap in {*self.gaps, self.least_gap}}
        self.demands = self._demands()
        self.chosen = [-1] * len(widths)
        self.bound: dict[int, str] = {}
        self.spares: dict[int, int] = {}
        self.foe_places: tuple[tuple[int, int], ...] = ()
        self.failed: set[object] = set()

    def _demands(self) -> list[tuple[tuple[int, ...], list[int]]]:
        """
        For every height of the pieces, lowest first: the pieces at least so high, and the length that frames need
        which may go to no lower one, frame `k` of the order and those after it, counted with the smallest gap.
        """
        heights = [piece.max_height_mm for piece in self.task.pieces]
        demands = []
        for height in sorted(set(heights)):
            needed = [0]
            for i in reversed(self.order):
                is_bound_here = all(heights[place] >= height for place in self.task.allowed[i])
                needed.append(needed[-1] + (self.task.widths[i] + self.least_gap if is_bound_here else 0))
            demands.append((tuple(p for p, one in enumerate(heights) if one >= height), needed[::-1]))
        return demands

    def run(self) -> tuple[int, ...] | None:
        """Pieces by frame."""
        return tuple(self.chosen) if self._settle(0) else None

    def _settle(self, k: int) -> bool:
        if k == self.tied_count and self.task.foes:
            self._meet_foes()
        if k == len(self.order):
            return is_apart(self.task, chosen=self.chosen)
        full = [largest_within(self.sums[gap][k], room_mm=room) for gap, room in zip(self.gaps, self.free, strict=True)]
        if self._is_short(k, full=full):
            return False
        kinds = self._kinds(k, full=full)
        state = self._state(k, kinds=kinds)
        if state in self.failed:
            return False
        if len(self.failed) > self.node_limit:
            raise Undecided
        i = self.order[k]
        tried = set()
        for place in sorted(self.task.allowed[i], key=self.free.__getitem__):
            if kinds[place] in tried or self.task.widths[i] + self.gaps[place] > self.free[place]:
                continue
            tried.add(kinds[place])
            if self._try(k, place=place):
                return True
        self.failed.add(state)
        return False

    def _try(self, k: int, *, place: int) -> bool:
        """Put frame `k` of the order into a piece, go on, and take it out again when that fails."""
        i = self.order[k]
        take, bond, wall = self.task.widths[i] + self.gaps[place], self.bonds[i], self.task.pieces[place].wall_code
        is_first = bond >= 0 and bond not in self.bound
        if bond >= 0 and self.bound.setdefault(bond, wall) != wall:
            return False
        self.free[place] -= take
        self.chosen[i] = place
        is_spare = k >= self.tied_count and place in self.spares
        if is_spare:
            self.spares[place] += 1
        if self._settle(k + 1):
            return True
        if k < self.tied_count:
            self.spares, self.foe_places = {}, ()
        elif is_spare:
            self.spares[place] -= 1
        self.free[place] += take
        self.chosen[i] = -1
        if is_first:
            del self.bound[bond]
        return False

    def _meet_foes(self) -> None:
        """With all tied works placed: in which pieces it counts how many others hang, and where the foes are."""
        placed = {i: row_of(self.task.pieces[self.chosen[i]]) for i in self.order[: self.tied_count]}
        placed.update(pinned_rows(self.task))
        met = {i for i, row in placed.items() if any(placed[foe] == row for foe in self.task.foes.get(i, ()))}
        rows = {placed[i] for i in met}
        self.spares = {p: 0 for p, piece in enumerate(self.task.pieces) if row_of(piece) in rows}
        self.foe_places = tuple((i, self.chosen[i]) for i in self.order[: self.tied_count] if i in met)
        for i in self.order[: self.tied_count]:
            if self.chosen[i] in self.spares and i not in met:
                self.spares[self.chosen[i]] += 1

    def _kinds(self, k: int, *, full: Sequence[int]) -> list[int]:
        """
        A number per piece, the same for pieces that are as good as each other for the frames to come.

        While ties are being placed no two pieces are; then those that take the same lengths and heights, save
        where works count that hang between foes.
        """
        if k < self.tied_count:
            return [length * len(full) + place for place, length in enumerate(full)]
        kinds = [length * self.like_count + rank for length, rank in zip(full, self.ranks, strict=True)]
        most, size = len(self.task.foes) + 1, len(full)
        for place, spares in self.spares.items():
            kinds[place] = -((kinds[place] * size + place) * most + min(spares, most - 1)) - 1
        return kinds

    def _state(self, k: int, *, kinds: Sequence[int]) -> object:
        if k >= self.tied_count:
            return (k, tuple(sorted(kinds)), self.foe_places)
        places = tuple(self.chosen[i] for i in self.order[:k]) if self.task.foes else ()
        return (k, tuple(kinds), tuple(sorted(self.bound.items())), places)

    def _is_short(self, k: int, *, full: Sequence[int]) -> bool:
        """Whether the pieces cannot take the frames still to come, those for high pieces counted alone as well."""
        loose = self.sums[self.least_gap][k]
        most = [
            length if gap == self.least_gap else largest_within(loose, room_mm=room)
            for length, gap, room in zip(full, self.gaps, self.free, strict=True)
        ]
        return any(sum(most[place] for place in places) < needed[k] for places, needed in self.demands)


def suffix_sums(takes: Sequence[int]) -> list[int]:
    """For every k the lengths that some of takes[k:] add up to, as the bits of one integer."""
    sums = [1]
    for take in reversed(takes):
        sums.append(sums[-1] | (sums[-1] << take))
    return sums[::-1]


def largest_within(sums: int, *, room_mm: int) -> int:
    """Largest length in a set of sums that fits the room; 0 when the room is none."""
    return (sums & ((2 << room_mm) - 1)).bit_length() - 1 if room_mm > 0 else 0
