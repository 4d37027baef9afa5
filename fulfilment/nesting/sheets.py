"""Prints onto cut sheets of one or several sizes: what is there is used first, and as little of it as can be."""

from collections.abc import Mapping, Sequence

from fulfilment.nesting.filling import ROUNDS, Manner, Opener, Piece, Supply, first_fillings, improve, spots_of, ways_of
from fulfilment.nesting.fixed_numbers import FixedNumbers
from fulfilment.nesting.specs import DoesNotFit, Print, SheetNest, Sheets

_BOUGHT = 1_000  # a sheet that would have to be bought counts as so many that are there


def nest_on_sheets(prints: Sequence[Print], *, sheets: Sequence[Sheets], rounds: int = ROUNDS) -> tuple[SheetNest, ...]:
    """
    Lay `prints` on sheets, so that as little paper is used as is found, and none is bought while what is there does.

    Parameters: prints, codes all different; sheets, the kinds there are, codes all different.
    Returns: the sheets, full ones first, those to be bought last; every print once; each can be cut by straight cuts
        from edge to edge alone. The same prints and sheets give the same nest, in whatever order they come.
    Raises: DoesNotFit with the codes of prints larger than every sheet.

    >>> a3 = Sheets("A3", 420, 297, count=1)
    >>> [(n.code, n.is_owned, sorted(s.code for s in n.spots)) for n in nest_on_sheets(
    ...     [Print("a", 210, 297), Print("b", 210, 297), Print("c", 200, 200)], sheets=[a3])]
    [('A3', True, ['a', 'b']), ('A3', False, ['c'])]
    """
    ordered = sorted(prints, key=lambda item: (item.width_mm, item.height_mm, item.can_turn, item.code))
    kinds = sorted(sheets, key=lambda kind: (kind.width_mm * kind.height_mm, kind.code))
    too_large = [item.code for item in ordered if not any(_ways_on(item, kind) for kind in kinds)]
    if too_large:
        raise DoesNotFit(too_large)
    if not ordered:
        return ()
    gaps = {kind.gap_mm for kind in kinds}
    if len(gaps) > 1:
        raise ValueError("one gap for all sheets")
    gap = gaps.pop()
    grown = [Print(p.code, p.width_mm + gap, p.height_mm + gap, p.can_turn) for p in ordered]
    numbers = FixedNumbers(len(grown))
    first = min(first_fillings(grown, beside=_supply(kinds, numbers=numbers)), key=_cost)
    beside = _supply(kinds, numbers=numbers)
    pieces = improve(first, grown, beside=beside, rounds=rounds, least=_least(grown, kinds), numbers=numbers)
    known = {item.code: item for item in grown}
    return tuple(_as_nest(piece, known, kinds=kinds) for piece in sorted(pieces, key=_rank))


def _supply(kinds: Sequence[Sheets], *, numbers: FixedNumbers) -> Supply:
    """The smallest sheet that takes a print, now and then a larger one; what is not there any more is bought."""

    def beside(used: Sequence[Piece]) -> Opener:
        left = {kind.code: kind.count for kind in kinds}
        for piece in used:
            left[piece.code] -= 1

        def open_sheet(item: Print, _: Manner) -> tuple[Piece, int, int]:
            fitting = [kind for kind in kinds if _ways_on(item, kind)]
            there = [kind for kind in fitting if left[kind.code] > 0] or fitting[:1]
            kind = there[numbers.below(len(there)) if numbers.below(4) == 0 else 0]
            left[kind.code] -= 1
            ways = _ways_on(item, kind)
            width, height = ways[numbers.below(len(ways))]
            return _blank(kind, is_owned=left[kind.code] >= 0), width, height

        return open_sheet

    return beside


def _blank(kind: Sheets, *, is_owned: bool) -> Piece:
    width, height = _usable(kind)
    area = kind.width_mm * kind.height_mm
    return Piece(kind.code, width, height, cost=area if is_owned else area * _BOUGHT, free=[(0, 0, width, height)])


def _usable(kind: Sheets) -> tuple[int, int]:
    """Width and height within the margins, and a gap more: every print brings one along."""
    return kind.width_mm - 2 * kind.margin_mm + kind.gap_mm, kind.height_mm - 2 * kind.margin_mm + kind.gap_mm


def _ways_on(item: Print, kind: Sheets) -> list[tuple[int, int]]:
    wide, high = _usable(kind)
    return [(width, height) for width, height in ways_of(item) if width <= wide and height <= high]


def _cost(pieces: Sequence[Piece]) -> int:
    return sum(piece.cost for piece in pieces)


def _least(prints: Sequence[Print], kinds: Sequence[Sheets]) -> int:
    """No nest costs less: the smallest sheet there is, as often as the area of the prints asks for."""
    area = sum(item.width_mm * item.height_mm for item in prints)
    largest = max(width * height for width, height in map(_usable, kinds))
    return -(-area // largest) * min(kind.width_mm * kind.height_mm for kind in kinds)


def _is_owned(piece: Piece, kind: Sheets) -> bool:
    return piece.cost == kind.width_mm * kind.height_mm


def _rank(piece: Piece) -> tuple[int, int, str]:
    return piece.cost, -piece.used_mm2, min(lain[0] for lain in piece.lain)


def _as_nest(piece: Piece, prints: Mapping[str, Print], *, kinds: Sequence[Sheets]) -> SheetNest:
    [kind] = [kind for kind in kinds if kind.code == piece.code]
    spots = spots_of(piece, prints, x_mm=kind.margin_mm, y_mm=kind.margin_mm, gap_mm=kind.gap_mm)
    return SheetNest(kind.code, _is_owned(piece, kind), tuple(spots))
