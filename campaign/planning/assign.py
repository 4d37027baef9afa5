"""Which work goes to which stretch, by lengths and heights; neither positions nor the choice of works are here."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from campaign.planning.multipliers import IntArray
from campaign.planning.wall import Stretch

NODE_LIMIT = 600
PLACING_NODE_LIMIT = 30_000  # for frames that are to hang: what was found once must be found again

Frame = tuple[int, int]


class Undecided(Exception):
    """The search for an assignment was given up before it was complete."""


@dataclass(slots=True)
class Assigner:
    """
    Decides, and remembers, whether frames (width_mm, height_mm) fit the stretches with the minimum gap.

    A frame takes its width and one gap; a stretch offers its length less one gap, so that every work has the gap
    on both sides.
    """

    stretches: tuple[Stretch, ...]
    min_gap_mm: int
    most_frames: int = 256
    _seen: dict[tuple[Frame, ...], bool | None] = field(default_factory=dict)
    _fitting: list[IntArray] = field(default_factory=list)
    _failing: list[IntArray] = field(default_factory=list)

    def fits(self, frames: Sequence[Frame]) -> bool | None:
        """True or False, or None when the search was given up."""
        key = tuple(sorted(frames))
        if key not in self._seen:
            self._seen[key] = self._decide(key)
        return self._seen[key]

    def _decide(self, frames: tuple[Frame, ...]) -> bool | None:
        """By what is known of larger and smaller frames, else by assigning them."""
        profile = self._profile(frames)
        if self._failing and bool((np.array(self._failing) <= profile).all(axis=1).any()):
            return False
        # Frames that must fit get the longer search: a yes without places in hand would be no use on the wall.
        is_known = bool(self._fitting) and bool((np.array(self._fitting) >= profile).all(axis=1).any())
        try:
            fits = self.assign(frames, node_limit=PLACING_NODE_LIMIT if is_known else NODE_LIMIT) is not None
        except Undecided:
            return None
        (self._fitting if fits else self._failing).append(profile)
        return fits

    def _profile(self, frames: Sequence[Frame]) -> IntArray:
        """
        Widths, largest first, in a row of `most_frames` per kind of height (by the stretches that are too low).

        Frames whose profile is nowhere larger hang wherever the others do.
        """
        lows = sorted({stretch.max_height_mm for stretch in self.stretches})
        profile = np.zeros((len(lows) + 1, self.most_frames), dtype=np.int64)
        for kind in range(len(lows) + 1):
            widths = sorted((w for w, height in frames if sum(height > low for low in lows) == kind), reverse=True)
            profile[kind, : len(widths)] = widths
        return profile.ravel()

    def assign(self, frames: Sequence[Frame], *, node_limit: int = PLACING_NODE_LIMIT) -> tuple[int, ...] | None:
        """
        One stretch index per frame, None when they do not all fit; the same frames in another order fare alike.

        The first try spreads the works so that gaps are wide; only where that fails every way is searched.
        Raises: Undecided when the search is given up after `node_limit` trials.
        """
        order = sorted(range(len(frames)), key=lambda i: (frames[i], i))
        found = self._assign_sorted([frames[i] for i in order], node_limit=node_limit)
        if found is None:
            return None
        chosen = [0] * len(frames)
        for place, i in zip(found, order, strict=True):
            chosen[i] = place
        return tuple(chosen)

    def _assign_sorted(self, frames: Sequence[Frame], *, node_limit: int) -> tuple[int, ...] | None:
        order = sorted(range(len(frames)), key=lambda i: (-frames[i][1], -frames[i][0], i))
        spread = self._spread(frames, order=order)
        if spread is not None:
            return spread
        tight = self._fill(frames)
        return tight if tight is not None else self._search(frames, node_limit=node_limit)

    def _spread(self, frames: Sequence[Frame], *, order: Sequence[int]) -> tuple[int, ...] | None:
        """Largest frames first, each to the stretch that is left with the widest gaps."""
        free = [stretch.length_mm for stretch in self.stretches]
        count = [0] * len(free)
        chosen = [0] * len(frames)
        for i in order:
            width, height = frames[i]
            best, best_gap = -1, float(self.min_gap_mm)
            for place, stretch in enumerate(self.stretches):
                gap = (free[place] - width) / (count[place] + 2)
                better = gap > best_gap or (gap == best_gap and best < 0)
                if height <= stretch.max_height_mm and better:
                    best, best_gap = place, gap
            if best < 0:
                return None
            free[best] -= width
            count[best] += 1
            chosen[i] = best
        return tuple(chosen)

    def _fill(self, frames: Sequence[Frame]) -> tuple[int, ...] | None:
        """One stretch after the other, lowest and shortest first, each as full as what is left allows."""
        chosen: dict[int, int] = {}
        stretches = sorted(enumerate(self.stretches), key=lambda s: (s[1].max_height_mm, s[1].length_mm, s[0]))
        for place, stretch in stretches:
            left = [i for i, frame in enumerate(frames) if i not in chosen and frame[1] <= stretch.max_height_mm]
            left.sort(key=lambda i: (-frames[i][0], i))
            takes = [frames[i][0] + self.min_gap_mm for i in left]
            for k in _fullest(takes, room_mm=stretch.length_mm - self.min_gap_mm):
                chosen[left[k]] = place
        return tuple(chosen[i] for i in range(len(frames))) if len(chosen) == len(frames) else None

    def _search(self, frames: Sequence[Frame], *, node_limit: int) -> tuple[int, ...] | None:
        """
        Depth first, hardest frame first.

        Equal stretches are tried once, failed states are remembered, and a branch is left when the stretches, each
        filled as well as the frames still to come allow, cannot take them all.
        """
        heights = [stretch.max_height_mm for stretch in self.stretches]
        allowed = [[place for place, height in enumerate(heights) if frame[1] <= height] for frame in frames]
        order = sorted(range(len(frames)), key=lambda i: (len(allowed[i]), -frames[i][0], i))
        takes = [frames[i][0] + self.min_gap_mm for i in order]
        rest = [sum(takes[k:]) for k in range(len(takes) + 1)]
        sums = _suffix_sums(takes)
        free = [stretch.length_mm - self.min_gap_mm for stretch in self.stretches]
        failed: set[tuple[int, tuple[tuple[int, int], ...]]] = set()
        chosen = [0] * len(frames)

        def settle(k: int) -> bool:
            if k == len(order):
                return True
            full = [_largest_within(sums[k], room_mm=room) for room in free]
            state = (k, tuple(sorted(zip(full, heights, strict=True))))
            if state in failed or sum(full) < rest[k]:
                return False
            if len(failed) > node_limit:
                raise Undecided
            tried = set()
            for place in sorted(allowed[order[k]], key=lambda p: (free[p], p)):
                if free[place] < takes[k] or (full[place], heights[place]) in tried:
                    continue
                tried.add((full[place], heights[place]))
                free[place] -= takes[k]
                chosen[order[k]] = place
                if settle(k + 1):
                    return True
                free[place] += takes[k]
            failed.add(state)
            return False

        return tuple(chosen) if settle(0) else None


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
