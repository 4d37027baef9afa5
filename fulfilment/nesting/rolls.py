"""Prints onto a roll: as little of it as can be, in lengths that one cut across parts from each other."""

from collections.abc import Mapping, Sequence

from fulfilment.nesting.bounds import least_length_mm
from fulfilment.nesting.filling import ROUNDS, Manner, Opener, Piece, first_fillings, improve, spots_of, ways_of
from fulfilment.nesting.fixed_numbers import FixedNumbers
from fulfilment.nesting.specs import DoesNotFit, Print, Roll, RollNest, Spot


def nest_on_roll(
    prints: Sequence[Print], *, roll: Roll, needed_first: Mapping[str, int] | None = None, rounds: int = ROUNDS
) -> RollNest:
    """
    Lay `prints` on a roll, in as short a length as is found.

    Parameters: prints, codes all different; needed_first, code -> rank: lengths with a low rank come out first;
        rounds, how long to look for a shorter one (0: the first good one).
    Returns: every print once, within the printable width, `gap_mm` apart; it can be cut by straight cuts from edge to
        edge alone. The same prints give the same nest, in whatever order they come.
    Raises: DoesNotFit with the codes of prints wider than the roll in every way they may lie.
    Notes: O(rounds × prints); checked against a general packing library in tests/bench/.

    >>> nest = nest_on_roll([Print("a", 300, 200), Print("b", 200, 300)], roll=Roll(610))
    >>> nest.length_mm, [(s.code, s.x_mm, s.y_mm, s.is_turned) for s in nest.spots]
    (200, [('a', 0, 0, False), ('b', 300, 0, True)])
    """
    ordered = sorted(prints, key=lambda item: (item.width_mm, item.height_mm, item.can_turn, item.code))
    gap, width_mm = roll.gap_mm, roll.usable_mm + roll.gap_mm
    grown = [Print(p.code, p.width_mm + gap, p.height_mm + gap, p.can_turn) for p in ordered]
    too_wide = [item.code for item in grown if all(width > width_mm for width, _ in ways_of(item))]
    if too_wide:
        raise DoesNotFit(too_wide)
    if not grown:
        return RollNest(roll, (), 0, 0)
    least = least_length_mm(grown, width_mm=width_mm)
    numbers = FixedNumbers(len(grown))
    opener = _opener(width_mm, numbers=numbers)

    def beside(_: Sequence[Piece]) -> Opener:
        return opener  # there is always more of a roll

    first = min(first_fillings(grown, beside=beside), key=_length_mm)
    pieces = improve(first, grown, beside=beside, rounds=rounds, least=least, numbers=numbers)
    ends = roll.lead_mm + roll.tail_mm - gap
    spots = tuple(_spots(pieces, grown, roll=roll, ranks=needed_first or {}))
    return RollNest(roll, spots, _length_mm(pieces) + ends, least + ends)


def _opener(width_mm: int, *, numbers: FixedNumbers) -> Opener:
    def open_length(item: Print, manner: Manner) -> tuple[Piece, int, int]:
        """Lying down a print needs the least length; standing up it leaves room beside it for tall ones."""
        ways = sorted(((high, wide) for wide, high in ways_of(item) if wide <= width_mm))
        is_upright = len(ways) > 1 and numbers.below(100) < manner.upright_percent
        height, width = ways[-1] if is_upright else ways[0]
        return Piece("", width_mm, height, cost=height, free=[(0, 0, width_mm, height)]), width, height

    return open_length


def _length_mm(pieces: Sequence[Piece]) -> int:
    return sum(piece.height_mm for piece in pieces)


def _spots(pieces: Sequence[Piece], prints: Sequence[Print], *, roll: Roll, ranks: Mapping[str, int]) -> list[Spot]:
    """From the beginning of the roll: the lengths by what is needed first in them, then the fullest."""
    last, known = max(ranks.values(), default=0) + 1, {item.code: item for item in prints}

    def rank(piece: Piece) -> tuple[int, int, str]:
        codes = [lain[0] for lain in piece.lain]
        return min(ranks.get(code, last) for code in codes), -piece.used_mm2, min(codes)

    spots, y_mm = [], roll.lead_mm
    for piece in sorted(pieces, key=rank):
        spots += spots_of(piece, known, x_mm=roll.side_mm, y_mm=y_mm, gap_mm=roll.gap_mm)
        y_mm += piece.height_mm
    return spots
