"""Which work goes to which piece of wall, by lengths, heights and ties; neither positions nor the choice is here."""

from collections import defaultdict
from collections.abc import Mapping, Sequence

from campaign.planning.rows import SPARE, Party, Undecided, order_apart
from campaign.planning.ties import Task
from campaign.planning.wall import Stretch

NODE_LIMIT = 600
PLACING_NODE_LIMIT = 30_000  # for works that are to hang: what was found once must be found again

RowKey = tuple[str, int]


def assign(task: Task, *, node_limit: int = PLACING_NODE_LIMIT) -> tuple[int, ...] | None:
    """
    One piece per frame, None when they do not all fit.

    Raises: Undecided when the search is given up after `node_limit` dead ends.
    Notes: quick ways first; the search that follows is complete, and the same task always ends alike.
    """
    quick = assign_quickly(task)
    return quick if quick is not None else search(task, node_limit=node_limit)


def assign_quickly(task: Task) -> tuple[int, ...] | None:
    """One piece per frame by a few simple ways; None says nothing about whether they fit."""
    if task.has_ties:
        found = _first_fit_tied(task)
        return found if found is not None and is_apart(task, chosen=found) else None
    found = _first_fit(task)
    return found if found is not None else _fill(task)


def _first_fit(task: Task) -> tuple[int, ...] | None:
    """Frames as they come, each to the first piece with room for it."""
    gaps = [piece.gap_mm for piece in task.pieces]
    free = [piece.length_mm - piece.gap_mm for piece in task.pieces]
    chosen = []
    for width, places in zip(task.widths, task.allowed, strict=True):
        for place in places:
            take = width + gaps[place]
            if take <= free[place]:
                free[place] -= take
                chosen.append(place)
                break
        else:
            return None
    return tuple(chosen)


def _first_fit_tied(task: Task) -> tuple[int, ...] | None:
    """As first fit, ties first: works of a bond to a wall with room for them all, foes to rows of their own."""
    free = [piece.length_mm - piece.gap_mm for piece in task.pieces]
    rows = [row_of(piece) for piece in task.pieces]
    in_row = _pinned_foes(task)
    bound: dict[int, str] = {}
    chosen = [-1] * len(task.widths)
    for i in sorted(range(len(chosen)), key=lambda i: (not task.tied[i], task.bonds[i], i)):
        bond, near = task.bonds[i], task.foes.get(i, frozenset())
        if bond >= 0 and bond not in bound:
            bound[bond] = _roomiest_wall(task, bond=bond, free=free)
        wall = bound.get(bond)
        roomy = (p for p in task.allowed[i] if task.widths[i] + task.pieces[p].gap_mm <= free[p])
        fitting = [p for p in roomy if wall is None or task.pieces[p].wall_code == wall]
        if not fitting:
            return None
        place = min(fitting, key=lambda p: len(near & in_row[rows[p]])) if near else fitting[0]
        free[place] -= task.widths[i] + task.pieces[place].gap_mm
        in_row[rows[place]].add(i)
        chosen[i] = place
    return tuple(chosen)


def _roomiest_wall(task: Task, *, bond: int, free: Sequence[int]) -> str:
    """The wall with most room among those that every work of a bond may go to; "" when there is none."""
    members = [i for i in range(len(task.bonds)) if task.bonds[i] == bond]
    shared = set.intersection(*({task.pieces[p].wall_code for p in task.allowed[i]} for i in members))
    room: defaultdict[str, int] = defaultdict(int)
    for piece, left in zip(task.pieces, free, strict=True):
        if piece.wall_code in shared:
            room[piece.wall_code] += max(left, 0)
    return max(room, key=lambda wall: room[wall], default="")


def _fill(task: Task) -> tuple[int, ...] | None:
    """One piece after the other, lowest and shortest first, each as full as what is left allows."""
    chosen: dict[int, int] = {}
    order = sorted(enumerate(task.pieces), key=lambda one: (one[1].max_height_mm, one[1].length_mm, one[0]))
    for place, piece in order:
        left = [i for i in range(len(task.widths)) if i not in chosen and place in task.allowed[i]]
        takes = [task.widths[i] + piece.gap_mm for i in left]
        for k in _fullest(takes, room_mm=piece.length_mm - piece.gap_mm):
            chosen[left[k]] = place
    return tuple(chosen[i] for i in range(len(task.widths))) if len(chosen) == len(task.widths) else None


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
        self.least_gap = min(self.gaps, default=0)
        widths = [task.widths[i] for i in self.order]
        self.sums = {gap: _suffix_sums([width + gap for width in widths]) for gap in {*self.gaps, self.least_gap}}
        self.rest = [sum(widths[k:]) + self.least_gap * (len(widths) - k) for k in range(len(widths) + 1)]
        self.chosen = [-1] * len(widths)
        self.bound: dict[int, str] = {}
        self.spares: dict[int, int] = {}
        self.foe_places: tuple[tuple[int, int], ...] = ()
        self.failed: set[object] = set()

    def run(self) -> tuple[int, ...] | None:
        """Pieces by frame."""
        return tuple(self.chosen) if self._settle(0) else None

    def _settle(self, k: int) -> bool:
        if k == self.tied_count and self.task.foes:
            self._meet_foes()
        if k == len(self.order):
            return is_apart(self.task, chosen=self.chosen)
        full = [
            _largest_within(self.sums[gap][k], room_mm=room) for gap, room in zip(self.gaps, self.free, strict=True)
        ]
        state = self._state(k, full=full)
        if state in self.failed or self._most(k, full=full) < self.rest[k]:
            return False
        if len(self.failed) > self.node_limit:
            raise Undecided
        i = self.order[k]
        tried = set()
        for place in sorted(self.task.allowed[i], key=lambda p: (self.free[p], p)):
            kind = place if k < self.tied_count else self._kind(place, full=full)
            if kind in tried or self.task.widths[i] + self.gaps[place] > self.free[place]:
                continue
            tried.add(kind)
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
        placed.update(_pinned_rows(self.task))
        met = {i for i, row in placed.items() if any(placed[foe] == row for foe in self.task.foes.get(i, ()))}
        rows = {placed[i] for i in met}
        self.spares = {p: 0 for p, piece in enumerate(self.task.pieces) if row_of(piece) in rows}
        self.foe_places = tuple((i, self.chosen[i]) for i in self.order[: self.tied_count] if i in met)
        for i in self.order[: self.tied_count]:
            if self.chosen[i] in self.spares and i not in met:
                self.spares[self.chosen[i]] += 1

    def _kind(self, place: int, *, full: Sequence[int]) -> tuple[int, ...]:
        """Pieces of one kind are as good as each other for the frames that are only sizes."""
        mark = (place, min(self.spares[place], len(self.task.foes))) if place in self.spares else (-1, 0)
        return (full[place], self.task.pieces[place].max_height_mm, self.gaps[place], *mark)

    def _state(self, k: int, *, full: Sequence[int]) -> object:
        if k < self.tied_count:
            places = tuple(self.chosen[i] for i in self.order[:k]) if self.task.foes else ()
            return (k, tuple(full), tuple(sorted(self.bound.items())), places)
        return (k, tuple(sorted(self._kind(place, full=full) for place in range(len(full)))), self.foe_places)

    def _most(self, k: int, *, full: Sequence[int]) -> int:
        """No less than what the pieces can take of the frames still to come, counted with the smallest gap."""
        return sum(
            length if gap == self.least_gap else _largest_within(self.sums[self.least_gap][k], room_mm=room)
            for length, gap, room in zip(full, self.gaps, self.free, strict=True)
        )


def row_of(piece: Stretch) -> RowKey:
    """The wall and the row a piece is of."""
    return (piece.wall_code, piece.row)


def _pinned_rows(task: Task) -> dict[int, RowKey]:
    """Items at pinned places, and the row each is in."""
    return {len(task.widths) + k: one.row for k, one in enumerate(task.pinned)}


def _pinned_foes(task: Task) -> defaultdict[RowKey, set[int]]:
    in_row: defaultdict[RowKey, set[int]] = defaultdict(set)
    for item, row in _pinned_rows(task).items():
        in_row[row].add(item)
    return in_row


def row_items(task: Task, *, chosen: Sequence[int]) -> dict[RowKey, list[list[int]]]:
    """Items row by row, piece by piece from the left; the order within a piece is free, a pinned work is alone."""
    marks: list[tuple[RowKey, int, list[int]]] = [(row_of(piece), piece.x_mm, []) for piece in task.pieces]
    for i, place in enumerate(chosen):
        marks[place][2].append(i)
    marks.extend((one.row, one.x_mm, [len(chosen) + k]) for k, one in enumerate(task.pinned))
    rows: dict[RowKey, list[list[int]]] = {}
    for row, _, items in sorted(marks, key=lambda mark: mark[:2]):
        if items:
            rows.setdefault(row, []).append(items)
    return rows


def order_row(groups: Sequence[Sequence[int]], *, foes: Mapping[int, frozenset[int]]) -> tuple[int, ...] | None:
    """An order of the items of one row with no foes side by side, SPARE for those without; None when there is none."""
    here = {item for group in groups for item in group}
    met = {item for item in here if foes.get(item, frozenset()) & here}
    if not met:
        return (SPARE,) * len(here)
    parties = [
        Party(tuple(item for item in group if item in met), sum(item not in met for item in group)) for group in groups
    ]
    return order_apart(parties, foes=foes)


def is_apart(task: Task, *, chosen: Sequence[int]) -> bool:
    """
    Whether every row can be put in an order in which no foes are neighbours.

    Raises: Undecided.
    """
    if not task.foes:
        return True
    rows = row_items(task, chosen=chosen)
    return all(order_row(groups, foes=task.foes) is not None for groups in rows.values())


def _suffix_sums(takes: Sequence[int]) -> list[int]:
    """For every k the lengths that some of takes[k:] add up to, as the bits of one integer."""
    sums = [1]
    for take in reversed(takes):
        sums.append(sums[-1] | (sums[-1] << take))
    return sums[::-1]


def _largest_within(sums: int, *, room_mm: int) -> int:
    """Largest length in a set of sums that fits the room; 0 when the room is none."""
    return max((sums & ((1 << (room_mm + 1)) - 1)).bit_length() - 1, 0) if room_mm > 0 else 0


def _fullest(takes: Sequence[int], *, room_mm: int) -> list[int]:
    """Indices of takes that fill a room best; the first ones are used where there is a choice."""
    sums = _suffix_sums(takes)
    target = _largest_within(sums[0], room_mm=room_mm)
    chosen = []
    for k, take in enumerate(takes):
        if target >= take and sums[k + 1] >> (target - take) & 1:
            chosen.append(k)
            target -= take
    return chosen


def reachable_mm(length_mm: int, *, takes_mm: Sequence[int]) -> int:
    """
    Longest sum of the given lengths, each as often as wanted, that is at most `length_mm`.

    >>> reachable_mm(1000, takes_mm=[300, 450])
    900
    """
    if length_mm <= 0:
        return 0
    sums, within = 1, (1 << (length_mm + 1)) - 1
    for take in set(takes_mm):
        shift = take
        while shift <= length_mm:
            sums |= (sums << shift) & within
            shift *= 2
    return sums.bit_length() - 1
