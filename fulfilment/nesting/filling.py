"""
Prints onto paper, to be parted by straight cuts from edge to edge: laid greedily, then taken off and laid anew.

What a piece of paper is, a length of roll or a sheet, and what it costs is the caller's: see `rolls.py`, `sheets.py`.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum
from itertools import product

from fulfilment.nesting.fixed_numbers import FixedNumbers
from fulfilment.nesting.specs import Print, Spot

ROUNDS = 12_000  # about a third of a second for thirty prints
_FAR = 1 << 62


class Fit(Enum):
    """Which of the free places is the best one."""

    SHORT_SIDE = "the least is left over along one of its sides"
    AREA = "it is the smallest"
    ABOVE = "the least is left over above the print"


class Cut(Enum):
    """Which way the rest of a place is parted."""

    LARGER_WHOLE = "the larger rest stays whole"
    ALONG = "the rest beside the print keeps the whole height"
    ACROSS = "the rest above the print keeps the whole width"
    WIDER_WHOLE = "whichever rest is the wider"


@dataclass(frozen=True, slots=True)
class Manner:
    """How paper is filled. `upright_percent`: how often the first print on a new piece of roll stands upright."""

    fit: Fit
    cut: Cut
    upright_percent: int


# The code of a print, x, y, width and height as it lies: the search makes and drops them by the hundred thousand.
Lain = tuple[str, int, int, int, int]


@dataclass(slots=True)
class Piece:
    """A rectangle of paper with what lies on it; `free` are rectangles (x, y, width, height) that no cut crosses."""

    code: str
    width_mm: int
    height_mm: int
    cost: int
    free: list[tuple[int, int, int, int]]
    lain: list[Lain] = field(default_factory=list)
    used_mm2: int = 0


Place = tuple[Piece, tuple[int, int, int, int], int, int]
# A new piece for a print, with the way it lies on it first; None where no paper takes it.
Opener = Callable[[Print, Manner], tuple[Piece, int, int] | None]
# What opens pieces beside those that are in use already.
Supply = Callable[[Sequence[Piece]], Opener]

MANNERS = tuple(Manner(fit, cut, upright) for fit, cut, upright in product(Fit, Cut, (0, 30, 60, 100)))


def ways_of(item: Print) -> tuple[tuple[int, int], ...]:
    """Width and height as it may lie: as it is, and turned."""
    if item.can_turn and item.width_mm != item.height_mm:
        return (item.width_mm, item.height_mm), (item.height_mm, item.width_mm)
    return ((item.width_mm, item.height_mm),)


def fill(prints: Sequence[Print], *, opener: Opener, manner: Manner, limit: int) -> list[Piece] | None:
    """
    Lay `prints` in their order, each where it fits best, on new pieces where it fits nowhere.

    Returns: the pieces; None once they cost more than `limit`, or where a print fits on no paper.
    """
    pieces: list[Piece] = []
    cost = 0
    for item in prints:
        place = _best_place(pieces, item, fit=manner.fit)
        if place is None:
            opened = opener(item, manner)
            if opened is None:
                return None
            piece, width, height = opened
            pieces.append(piece)
            cost += piece.cost
            if cost > limit:
                return None
            place = (piece, piece.free[0], width, height)
        _lay(item, place, cut=manner.cut)
    return pieces


def _best_place(pieces: Sequence[Piece], item: Print, *, fit: Fit) -> Place | None:
    best, least = None, _FAR
    ways = ways_of(item)
    is_short_side, is_area = fit is Fit.SHORT_SIDE, fit is Fit.AREA
    for piece in pieces:
        for free in piece.free:
            _, _, wide, high = free
            for width, height in ways:
                if width > wide or height > high:
                    continue
                if is_short_side:
                    left = min(wide - width, high - height)
                else:
                    left = wide * high if is_area else width * (high - height)
                if left < least:
                    best, least = (piece, free, width, height), left
    return best


def _lay(item: Print, place: Place, *, cut: Cut) -> None:
    piece, free, width, height = place
    x, y, wide, high = free
    piece.free.remove(free)
    piece.lain.append((item.code, x, y, width, height))
    piece.used_mm2 += width * height
    beside, above = wide - width, high - height
    if cut is Cut.LARGER_WHOLE:
        is_along = beside * high > above * wide
    elif cut is Cut.WIDER_WHOLE:
        is_along = beside > above
    else:
        is_along = cut is Cut.ALONG
    if beside:
        piece.free.append((x + width, y, beside, high if is_along else height))
    if above:
        piece.free.append((x, y + height, width if is_along else wide, above))


def spots_of(piece: Piece, prints: Mapping[str, Print], *, x_mm: int, y_mm: int, gap_mm: int) -> list[Spot]:
    """What lies on a piece, from its beginning, moved to where the piece lies and without the gap it brought along."""
    return [
        Spot(code, x_mm + x, y_mm + y, width - gap_mm, height - gap_mm, is_turned=width != prints[code].width_mm)
        for code, x, y, width, height in sorted(piece.lain, key=lambda lain: (lain[2], lain[1]))
    ]


def first_fillings(prints: Sequence[Print], *, beside: Supply) -> Iterator[list[Piece]]:
    """Every manner, with the prints by their shorter side, their longer side, their area."""
    for by in (_shorter, _longer, _area):
        ordered = sorted(prints, key=lambda item: (-by(item), -_longer(item), item.code))
        for manner in MANNERS:
            if manner.upright_percent in (0, 100):
                made = fill(ordered, opener=beside([]), manner=manner, limit=_FAR)
                if made is not None:
                    yield made


def improve(
    pieces: list[Piece],
    prints: Sequence[Print],
    *,
    beside: Supply,
    rounds: int,
    least: int,
    numbers: FixedNumbers,
) -> list[Piece]:
    """
    Take the prints off two to four pieces and lay them anew, for as long as there are `rounds` and `least` is not met.

    What costs no more is kept; of equal costs the one whose pieces are the more uneven, because the emptiest is the
    one that can go.
    """
    known = {item.code: item for item in prints}
    cost = sum(piece.cost for piece in pieces)
    for _ in range(rounds if len(pieces) > 1 else 0):
        if cost <= least:
            break
        chosen = _choose(len(pieces), numbers=numbers)
        off = [pieces[at] for at in chosen]
        stay = [piece for at, piece in enumerate(pieces) if at not in chosen]
        before = sum(piece.cost for piece in off)
        loose = _stirred([known[lain[0]] for piece in off for lain in piece.lain], numbers=numbers)
        manner = MANNERS[numbers.below(len(MANNERS))]
        anew = fill(loose, opener=beside(stay), manner=manner, limit=before)
        if anew is None:
            continue
        after = sum(piece.cost for piece in anew)
        if after < before or _evenness(anew) >= _evenness(off):
            pieces, cost = stay + anew, cost + after - before
    return pieces


def _choose(count: int, *, numbers: FixedNumbers) -> set[int]:
    wanted = min(count, 2 + numbers.below(3))
    chosen: set[int] = set()
    while len(chosen) < wanted:
        chosen.add(numbers.below(count))
    return chosen


def _stirred(loose: list[Print], *, numbers: FixedNumbers) -> list[Print]:
    """Large before small, more or less: by up to a third of the largest."""
    by, percent = (_shorter, _longer, _area)[numbers.below(3)], 3 + numbers.below(31)
    noise = max(map(by, loose)) * percent
    return sorted(loose, key=lambda item: -(100 * by(item) + numbers.below(noise + 1)))


def _evenness(pieces: Sequence[Piece]) -> int:
    return sum(piece.used_mm2 * piece.used_mm2 for piece in pieces)


def _shorter(item: Print) -> int:
    return min(item.width_mm, item.height_mm)


def _longer(item: Print) -> int:
    return max(item.width_mm, item.height_mm)


def _area(item: Print) -> int:
    return item.width_mm * item.height_mm
