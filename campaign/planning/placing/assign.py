"""Which work goes to which piece of wall, by lengths, heights and ties; neither positions nor the choice is here."""

from collections import defaultdict
from collections.abc import Sequence

from campaign.planning.placing.apart import is_apart, pinned_items, row_of
from campaign.planning.placing.rows import Undecided
from campaign.planning.placing.search import largest_within, search, suffix_sums
from campaign.planning.placing.ties import Task

NODE_LIMIT = 600
PLACING_NODE_LIMIT = 30_000  # for works that are to hang: what was found once must be found again


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
        try:
            return found if found is not None and is_apart(task, chosen=found) else None
        except Undecided:
            return None
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
    gaps = [piece.gap_mm for piece in task.pieces]
    free = [piece.length_mm - piece.gap_mm for piece in task.pieces]
    rows = [row_of(piece) for piece in task.pieces]
    in_row = pinned_items(task)
    bound: dict[int, str] = {}
    chosen = [-1] * len(task.widths)
    for i in sorted(range(len(chosen)), key=lambda i: (not task.tied[i], task.bonds[i], i)):
        bond, near = task.bonds[i], task.foes.get(i, frozenset())
        if bond >= 0 and bond not in bound:
            bound[bond] = _roomiest_wall(task, bond=bond, free=free)
        wall = bound.get(bond)
        width = task.widths[i]
        fitting = (
            p for p in task.allowed[i]
            if width + gaps[p] <= free[p] and (wall is None or task.pieces[p].wall_code == wall)
        )  # fmt: skip
        place = min(fitting, key=lambda p: len(near & in_row[rows[p]]), default=-1) if near else next(fitting, -1)
        if place < 0:
            return None
        free[place] -= width + gaps[place]
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
    room_mm = sum(max(piece.length_mm - piece.gap_mm, 0) for piece in task.pieces)
    gap_mm = min((piece.gap_mm for piece in task.pieces), default=0)
    rest_mm = sum(task.widths) + gap_mm * len(task.widths)
    for place, piece in order:
        if rest_mm > room_mm:  # what is left has no room any more, however it is put
            return None
        left = [i for i in range(len(task.widths)) if i not in chosen and place in task.allowed[i]]
        takes = [task.widths[i] + piece.gap_mm for i in left]
        for k in _fullest(takes, room_mm=piece.length_mm - piece.gap_mm):
            chosen[left[k]] = place
            rest_mm -= task.widths[left[k]] + gap_mm
        room_mm -= max(piece.length_mm - piece.gap_mm, 0)
    return tuple(chosen[i] for i in range(len(task.widths))) if len(chosen) == len(task.widths) else None


def _fullest(takes: Sequence[int], *, room_mm: int) -> list[int]:
    """Indices of takes that fill a room best; the first ones are used where there is a choice."""
    sums = suffix_sums(takes)
    target = largest_within(sums[0], room_mm=room_mm)
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
