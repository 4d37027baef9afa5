"""Prints onto the paper an artist has: what is there first, then whole rolls or sheets that must be bought."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from fulfilment.nesting.filling import ROUNDS, ways_of
from fulfilment.nesting.rolls import nest_on_roll
from fulfilment.nesting.sheets import nest_on_sheets
from fulfilment.nesting.specs import Print, Roll, Sheets, Spot


@dataclass(frozen=True, slots=True)
class Paper:
    """
    Paper as it is set up: a roll where `height_mm` is 0, sheets otherwise; `margin_mm` at its sides, or all round.

    Of a roll one rest of `there_mm` is there and a new one has `pack_mm`, each with `lead_mm` before the first print
    and `tail_mm` behind the last. Of sheets `there_sheets` are there. `gap_mm` is kept between prints for the knife.
    """

    width_mm: int
    height_mm: int = 0
    margin_mm: int = 0
    lead_mm: int = 0
    tail_mm: int = 0
    gap_mm: int = 0
    there_mm: int = 0
    pack_mm: int = 0
    there_sheets: int = 0
    can_turn: bool = True


@dataclass(frozen=True, slots=True)
class Part:
    """
    A sheet, or a length of roll that one cut across parts; spots from its own lower left corner.

    `holder` counts rolls or sheets from 1 and `from_mm` says where on its roll a length begins; `is_owned` False where
    it has to be bought. `is_kept_back`: paper for prints that may be spoiled, nothing is printed on it for now.
    """

    number: int
    holder: int
    is_owned: bool
    is_kept_back: bool
    from_mm: int
    width_mm: int
    height_mm: int
    spots: tuple[Spot, ...]


@dataclass(frozen=True, slots=True)
class Laid:
    """All parts of one paper, in the order in which they are numbered; `too_large` are prints that no part takes."""

    parts: tuple[Part, ...]
    too_large: tuple[str, ...]

    @property
    def holders(self) -> int:
        """Rolls or sheets that are used, those that are there included."""
        return len({part.holder for part in self.parts})

    @property
    def bought(self) -> int:
        """Whole rolls, or sheets, that have to be bought."""
        return len({part.holder for part in self.parts if not part.is_owned})


def lay_on_paper(
    prints: Sequence[Print],
    *,
    paper: Paper,
    spares: int = 0,
    needed_first: Mapping[str, int] | None = None,
    rounds: int = ROUNDS,
) -> Laid:
    """
    Lay `prints` on a paper, and keep paper back for `spares` more: as large as the largest, then ever smaller ones.

    Parameters: prints, codes all different; spares, no more than there are prints count; needed_first, code -> rank:
        what has a low rank lies on the parts with low numbers; others come last.
    Returns: every print once, or in `too_large`; spares, with codes +1, +2 …, on parts of their own. What is there is
        used before anything is bought. The same prints and paper give the same parts.

    >>> laid = lay_on_paper([Print("a", 300, 400), Print("b", 300, 400)], paper=Paper(610, pack_mm=10_000), spares=1)
    >>> [(part.height_mm, [spot.code for spot in part.spots]) for part in laid.parts], laid.bought
    ([(400, ['a', 'b']), (300, ['+1'])], 1)
    """
    fitting = [fitted for item in prints if (fitted := _fitted(item, paper=paper)) is not None]
    known = {item.code for item in fitting}
    by_size = sorted(fitting, key=lambda item: (-item.width_mm * item.height_mm, item.code))
    count = min(spares, len(by_size))
    # The first of each of `count` equal shares, so what is kept back is no smaller than the prints are on average.
    kept = [replace(by_size[at * len(by_size) // count], code=f"+{at + 1}") for at in range(count)]
    ranks = needed_first or {}
    lay = _on_sheets if paper.height_mm else _on_roll
    as_given = {item.code: item for item in prints}
    parts = (
        replace(part, number=number, spots=tuple(_turned(spot, as_given.get(spot.code)) for spot in part.spots))
        for number, part in enumerate(lay(fitting, kept, paper=paper, ranks=ranks, rounds=rounds), start=1)
    )
    return Laid(tuple(parts), tuple(sorted(item.code for item in prints if item.code not in known)))


def _fitted(item: Print, *, paper: Paper) -> Print | None:
    """The print with the ways it may lie on this paper; None where it is too large in all of them."""
    wide = paper.width_mm - 2 * paper.margin_mm
    longest = max(paper.pack_mm, paper.there_mm) - paper.lead_mm - paper.tail_mm
    high = paper.height_mm - 2 * paper.margin_mm if paper.height_mm else longest
    own = replace(item, can_turn=item.can_turn and paper.can_turn)
    ways = [(width, height) for width, height in ways_of(own) if width <= wide and height <= high]
    if not ways:
        return None
    return own if len(ways) == len(ways_of(own)) else Print(item.code, *ways[0], can_turn=False)


def _turned(spot: Spot, given: Print | None) -> Spot:
    is_turned = given is not None and (spot.width_mm, spot.height_mm) != (given.width_mm, given.height_mm)
    return replace(spot, is_turned=is_turned)


def _on_sheets(
    prints: Sequence[Print], kept: Sequence[Print], *, paper: Paper, ranks: Mapping[str, int], rounds: int
) -> Iterator[Part]:
    kind = Sheets("", paper.width_mm, paper.height_mm, paper.there_sheets, paper.margin_mm, paper.gap_mm)
    nests = nest_on_sheets(prints, sheets=[kind], rounds=rounds)
    ordered = sorted((nest.spots for nest in nests), key=lambda spots: _need(spots, ranks=ranks))
    back = [nest.spots for nest in nest_on_sheets(kept, sheets=[kind], rounds=rounds)]
    for number, spots in enumerate([*ordered, *back], start=1):
        yield Part(
            number=number,
            holder=number,
            is_owned=number <= paper.there_sheets,
            is_kept_back=number > len(ordered),
            from_mm=0,
            width_mm=paper.width_mm,
            height_mm=paper.height_mm,
            spots=spots,
        )


def _need(spots: Sequence[Spot], *, ranks: Mapping[str, int]) -> tuple[int, int, str]:
    """What is needed first, then the fullest."""
    last = max(ranks.values(), default=0) + 1
    used = sum(spot.width_mm * spot.height_mm for spot in spots)
    return min(ranks.get(spot.code, last) for spot in spots), -used, min(spot.code for spot in spots)


def _on_roll(
    prints: Sequence[Print], kept: Sequence[Print], *, paper: Paper, ranks: Mapping[str, int], rounds: int
) -> Iterator[Part]:
    roll = Roll(paper.width_mm, side_mm=paper.margin_mm, gap_mm=paper.gap_mm)
    lengths = sorted(
        part_lengths(nest_on_roll(prints, roll=roll, rounds=rounds).spots),
        key=lambda spots: _need(spots, ranks=ranks),
    )
    wanted = len(lengths)
    lengths += part_lengths(nest_on_roll(kept, roll=roll, rounds=rounds).spots)
    for holder, (is_owned, here) in enumerate(_share(lengths, paper=paper), start=1):
        begins, at = 0, paper.lead_mm
        for place in here:
            spots = lengths[place]
            at_end = place == here[-1]
            ends = at + max(spot.top_mm for spot in spots) + (paper.tail_mm if at_end else paper.gap_mm // 2)
            yield Part(
                number=0,
                holder=holder,
                is_owned=is_owned,
                is_kept_back=place >= wanted,
                from_mm=begins,
                width_mm=paper.width_mm,
                height_mm=ends - begins,
                spots=tuple(replace(spot, y_mm=spot.y_mm + at - begins) for spot in spots),
            )
            begins = ends
            at += max(spot.top_mm for spot in spots) + paper.gap_mm


def part_lengths(spots: Sequence[Spot]) -> list[tuple[Spot, ...]]:
    """
    What lies between cuts across the whole roll that run through no print; each length begins at 0.

    >>> [len(length) for length in part_lengths([Spot("a", 0, 0, 9, 9, False), Spot("b", 9, 9, 9, 9, False)])]
    [1, 1]
    """
    lengths: list[list[Spot]] = []
    top_mm = 0
    for spot in sorted(spots, key=lambda spot: (spot.y_mm, spot.x_mm)):
        if not lengths or spot.y_mm >= top_mm:
            lengths.append([])
        lengths[-1].append(spot)
        top_mm = max(top_mm, spot.top_mm)
    return [tuple(replace(spot, y_mm=spot.y_mm - length[0].y_mm) for spot in length) for length in lengths]


def _share(lengths: Sequence[Sequence[Spot]], *, paper: Paper) -> list[tuple[bool, list[int]]]:
    """
    Which lengths lie on which roll, the rest that is there first: in their own order, unless another one saves a roll.
    """
    high = [max(spot.top_mm for spot in spots) for spots in lengths]
    own = range(len(lengths))
    ways = [_first_fit(order, high, paper=paper) for order in (own, sorted(own, key=lambda at: (-high[at], at)))]
    return min(ways, key=len)


def _first_fit(order: Sequence[int], high: Sequence[int], *, paper: Paper) -> list[tuple[bool, list[int]]]:
    ends = paper.lead_mm + paper.tail_mm
    rolls: list[tuple[bool, list[int]]] = [(True, [])] if paper.there_mm > ends else []
    room = [paper.there_mm - ends + paper.gap_mm] if rolls else []
    for at in order:
        needs = high[at] + paper.gap_mm
        found = next((place for place, left in enumerate(room) if needs <= left), None)
        if found is None:
            found = len(rolls)
            rolls.append((False, []))
            room.append(paper.pack_mm - ends + paper.gap_mm)
        rolls[found][1].append(at)
        room[found] -= needs
    return [(is_owned, sorted(here)) for is_owned, here in rolls if here]
