"""In which order a nest is cut apart: each cut straight, from edge to edge of what is in hand."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fulfilment.nesting.specs import Spot


class NoStraightCut(Exception):
    """The prints `codes` cannot be parted by any straight cut from edge to edge."""

    def __init__(self, codes: Sequence[str]) -> None:
        super().__init__(f"no straight cut parts {', '.join(codes)}")
        self.codes = tuple(codes)


@dataclass(frozen=True, slots=True)
class Knife:
    """
    One cut: across (`is_across`, at `at_mm` from the beginning) or along (from the left); it runs from `start_mm` to
    `end_mm` in the other direction. `step` counts from 1; the part that is then in hand begins at `edge_mm`.
    """

    step: int
    is_across: bool
    at_mm: int
    start_mm: int
    end_mm: int
    edge_mm: int = 0

    @property
    def in_hand_mm(self) -> int:
        """Where it is cut, from the edge of the part in hand."""
        return self.at_mm - self.edge_mm


@dataclass(frozen=True, slots=True)
class _Part:
    x: int
    y: int
    right: int
    top: int
    spots: tuple[Spot, ...]


def cut_apart(spots: Sequence[Spot], *, width_mm: int, height_mm: int) -> tuple[Knife, ...]:
    """
    The cuts that free every print of a sheet, or of a length of roll, with its edges on the paper's or on cuts.

    Parameters: spots, within width_mm × height_mm and not overlapping.
    Returns: cuts in an order that works: first those that trim several prints at once, as one cut then does for all
        of them; then those that part prints; last those that trim a single one.
    Raises: NoStraightCut where one would run through a print. ValueError for a print that lies off the paper.
    Notes: knows nothing of how the nest was made, and so proves that it can be cut.

    >>> left, right = Spot("a", 0, 0, 100, 200, False), Spot("b", 100, 0, 100, 150, False)
    >>> [(cut.is_across, cut.at_mm) for cut in cut_apart([left, right], width_mm=200, height_mm=200)]
    [(False, 100), (True, 150)]
    """
    if any(s.x_mm < 0 or s.y_mm < 0 or s.right_mm > width_mm or s.top_mm > height_mm for s in spots):
        raise ValueError("a print lies off the paper")
    whole = _Part(0, 0, width_mm, height_mm, tuple(spots))
    cuts = (cut for cut, _, _ in _all_cuts(whole))
    return tuple(Knife(step, *cut) for step, cut in enumerate(cuts, start=1))


_Line = tuple[bool, int, int, int, int]


def _all_cuts(whole: _Part) -> Iterator[tuple[_Line, _Part, _Part]]:
    waiting = [whole]
    while waiting:
        part = waiting.pop()
        if not part.spots:
            continue
        found = _part_once(part)
        if found is None:
            if len(part.spots) > 1:
                raise NoStraightCut([spot.code for spot in part.spots])
            continue
        yield found
        waiting += [found[2], found[1]]  # what lies nearer to the beginning first


def _part_once(part: _Part) -> tuple[_Line, _Part, _Part] | None:
    """The best cut through a part, and the two that come of it; None where nothing is left to cut."""
    lines = [
        (is_across, at)
        for is_across in (True, False)
        for at in sorted({edge for spot in part.spots for edge in _edges(spot, is_across=is_across)})
        if _is_inside(part, at, is_across=is_across) and not any(_runs_through(s, at, is_across) for s in part.spots)
    ]
    if not lines:
        return None
    # Of equal ones the cut across comes first, as a roll is cut.
    return min((_cut(part, is_across, at) for is_across, at in lines), key=_when)


def _when(found: tuple[_Line, _Part, _Part]) -> int:
    (is_across, at, *_), first, second = found
    if first.spots and second.spots:
        return 1
    trimmed = sum(at in _edges(spot, is_across=is_across) for spot in first.spots + second.spots)
    return 0 if trimmed > 1 else 2


def _edges(spot: Spot, *, is_across: bool) -> tuple[int, int]:
    return (spot.y_mm, spot.top_mm) if is_across else (spot.x_mm, spot.right_mm)


def _is_inside(part: _Part, at: int, *, is_across: bool) -> bool:
    return part.y < at < part.top if is_across else part.x < at < part.right


def _runs_through(spot: Spot, at: int, is_across: bool) -> bool:
    start, end = _edges(spot, is_across=is_across)
    return start < at < end


def _cut(part: _Part, is_across: bool, at: int) -> tuple[_Line, _Part, _Part]:
    before = tuple(spot for spot in part.spots if _edges(spot, is_across=is_across)[1] <= at)
    behind = tuple(spot for spot in part.spots if _edges(spot, is_across=is_across)[0] >= at)
    if is_across:
        first = _Part(part.x, part.y, part.right, at, before)
        second = _Part(part.x, at, part.right, part.top, behind)
        return (True, at, part.x, part.right, part.y), first, second
    first = _Part(part.x, part.y, at, part.top, before)
    second = _Part(at, part.y, part.right, part.top, behind)
    return (False, at, part.y, part.top, part.x), first, second
