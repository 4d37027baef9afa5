"""
Which mailer or tube a parcel's prints travel in, and how many parcels they make: the least cost that is found.

Pure; money in the smallest unit of one currency. What a parcel costs to post is the caller's to say.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import product

from fulfilment.packing.limits import Box, Limits, limit_faults, say_length, say_size

_SHORT = 1 << 40  # a mailer that is not there counts as dearer than any that is
MOST_EXACT = 400  # ways to choose copies out of a parcel up to which every split is tried


@dataclass(frozen=True, slots=True)
class Leaf:
    """
    A print as it is packed: its paper's size, `thickness_um` and `mass_g` with what lies between it and the next.

    `least_tube_mm`: the inner diameter that it may be rolled to; 0 for paper that must lie flat. `name` is what
    sentences call it, its code where it has none.
    """

    code: str
    width_mm: int
    height_mm: int
    thickness_um: int
    mass_g: int
    least_tube_mm: int = 0
    name: str = ""


@dataclass(frozen=True, slots=True)
class Mailer:
    """
    What the artist packs in; `mass_g` with its boards, tape and papers, `edge_mm` kept free around a flat print.

    Of a tube the inner and outer width are its diameters, the depths are not looked at.
    """

    code: str
    inner: Box
    outer: Box
    mass_g: int
    price_minor: int
    count: int
    edge_mm: int = 0


@dataclass(frozen=True, slots=True)
class Packed:
    """One parcel: which leaves, by code, in which mailer, what it weighs and costs to pack and post."""

    mailer: Mailer
    leaves: tuple[tuple[str, int], ...]
    mass_g: int
    cost_minor: int


class CannotPack(Exception):
    """No mailer takes a single print `code` within the limits; `reasons` has a sentence for each mailer."""

    def __init__(self, code: str, reasons: Sequence[str]) -> None:
        super().__init__(f"{code}: {'; '.join(reasons) or 'there is no mailer'}")
        self.code, self.reasons = code, tuple(reasons)


# What it costs to post a parcel of this size and weight with so many prints; None where there is no price for it.
Postage = Callable[[Box, int, int], int | None]


def fit_fault(leaves: Sequence[tuple[Leaf, int]], mailer: Mailer, *, unit: str = "mm") -> str:
    """
    Why so many of each leaf do not go into a mailer; empty where they do.

    Flat they lie on each other. In a tube they lie rolled into each other, along either side; each laps as often as it
    must, so what counts is the thickness of paper around the least diameter. Lengths are said in `unit`.
    """
    if mailer.inner.is_tube:
        return _tube_fault(leaves, mailer, unit=unit)
    wide, high = sorted((mailer.inner.length_mm - 2 * mailer.edge_mm, mailer.inner.width_mm - 2 * mailer.edge_mm))
    for leaf, _ in leaves:
        short, long = sorted((leaf.width_mm, leaf.height_mm))
        if short > wide or long > high:
            size, inside = (say_size(*pair, unit=unit) for pair in ((leaf.width_mm, leaf.height_mm), (wide, high)))
            return f"{size} is larger than the {inside} inside"
    thick_um = sum(leaf.thickness_um * count for leaf, count in leaves)
    if thick_um > 1000 * mailer.inner.depth_mm:
        thick = say_length(-(-thick_um // 1000), unit=unit)
        return f"{thick} thick, {say_length(mailer.inner.depth_mm, unit=unit)} deep"
    return ""


def _tube_fault(leaves: Sequence[tuple[Leaf, int]], mailer: Mailer, *, unit: str) -> str:
    length_mm, inside_mm = mailer.inner.length_mm, mailer.inner.width_mm
    around_um2 = 0  # area of the ring of paper, as its section shows it
    for leaf, count in leaves:
        if not leaf.least_tube_mm:
            return f"{leaf.name or leaf.code} must lie flat"
        along = [side for side in (leaf.width_mm, leaf.height_mm) if side <= length_mm]
        if not along:
            side, room = (say_length(mm, unit=unit) for mm in (min(leaf.width_mm, leaf.height_mm), length_mm))
            return f"{side} is longer than the tube's {room}"
        other = leaf.width_mm + leaf.height_mm - max(along)
        around_um2 += count * other * 1000 * leaf.thickness_um
    least_mm = max(leaf.least_tube_mm for leaf, _ in leaves)
    # A ring between diameters d and D has the area pi/4 (D² - d²); 355/113 is pi to six figures.
    ring_um2 = 355 * 1_000_000 * (inside_mm**2 - least_mm**2) // (4 * 113)
    if inside_mm < least_mm or around_um2 > ring_um2:
        least, inside = say_length(least_mm, unit=unit), say_length(inside_mm, unit=unit)
        return f"rolled no tighter than {least} they do not go into {inside}"
    return ""


def pack_parcels(
    leaves: Mapping[Leaf, int], *, mailers: Sequence[Mailer], limits: Limits, postage: Postage, unit: str = "mm"
) -> tuple[Packed, ...]:
    """
    The parcels in which so many of each leaf travel to one address, for the least that packing and posting cost.

    Returns: the parcels, the dearest first; exact while there are at most `MOST_EXACT` ways to choose copies out of
        the order, beyond that filled one after the other, largest prints first.
    Raises: CannotPack where a single print goes into no mailer within the limits and the prices.
    """
    kinds = sorted(leaves, key=lambda leaf: (-leaf.width_mm * leaf.height_mm, leaf.code))
    wanted = tuple(leaves[leaf] for leaf in kinds)

    @cache
    def one(counts: tuple[int, ...]) -> Packed | None:
        chosen = [(leaf, count) for leaf, count in zip(kinds, counts, strict=True) if count]
        return _cheapest(chosen, mailers=mailers, limits=limits, postage=postage)

    for at, leaf in enumerate(kinds):
        single = tuple(int(n == at) for n in range(len(kinds)))
        if wanted[at] and one(single) is None:
            why = _faults(leaf, mailers=mailers, limits=limits, postage=postage, unit=unit)
            raise CannotPack(leaf.code, list(why))
    ways = 1
    for count in wanted:
        ways *= count + 1
    parcels = _split_exactly(wanted, one) if ways <= MOST_EXACT else _split_in_turn(wanted, one)
    return tuple(sorted(parcels, key=lambda parcel: (-parcel.cost_minor, parcel.leaves)))


def _cheapest(
    chosen: Sequence[tuple[Leaf, int]], *, mailers: Iterable[Mailer], limits: Limits, postage: Postage
) -> Packed | None:
    found, copies = [], sum(count for _, count in chosen)
    for mailer in mailers:
        mass_g = mailer.mass_g + sum(leaf.mass_g * count for leaf, count in chosen)
        if fit_fault(chosen, mailer) or limit_faults(mailer.outer, mass_g=mass_g, limits=limits):
            continue
        price = postage(mailer.outer, mass_g, copies)
        if price is not None:
            named = tuple((leaf.code, count) for leaf, count in chosen)
            found.append(Packed(mailer, named, mass_g, mailer.price_minor + price))
    # What is there before what would have to be bought; then the cheapest, the lightest.
    return min(
        found, key=lambda one: (one.mailer.count <= 0, one.cost_minor, one.mass_g, one.mailer.code), default=None
    )


def _faults(leaf: Leaf, *, mailers: Iterable[Mailer], limits: Limits, postage: Postage, unit: str) -> Iterable[str]:
    for mailer in mailers:
        mass_g = mailer.mass_g + leaf.mass_g
        passed = limit_faults(mailer.outer, mass_g=mass_g, limits=limits, unit=unit)
        why = fit_fault([(leaf, 1)], mailer, unit=unit) or "; ".join(passed)
        if not why and postage(mailer.outer, mass_g, 1) is None:
            why = f"no postage for {mass_g} g"
        if why:
            yield f"{mailer.code}: {why}"


_One = Callable[[tuple[int, ...]], Packed | None]


def _split_exactly(wanted: tuple[int, ...], one: _One) -> list[Packed]:
    """Every split, by what is left: of equal costs the one with fewer parcels."""

    @cache
    def best(left: tuple[int, ...]) -> tuple[int, int, tuple[Packed, ...]]:
        if not any(left):
            return 0, 0, ()
        first = next(at for at, count in enumerate(left) if count)
        found = []
        # The parcel with a copy of the first kind that is left: every split has one.
        for part in product(*(range(int(at == first), count + 1) for at, count in enumerate(left))):
            parcel = one(part)
            if parcel is None:
                continue
            cost, parcels, rest = best(tuple(a - b for a, b in zip(left, part, strict=True)))
            is_short = parcel.mailer.count <= 0
            found.append((cost + parcel.cost_minor + is_short * _SHORT, parcels + 1, (parcel, *rest)))
        return min(found, key=lambda one: one[:2])

    return list(best(wanted)[2])


def _split_in_turn(wanted: tuple[int, ...], one: _One) -> list[Packed]:
    """As many as go into one parcel, the largest first; then the next parcel."""
    left, parcels = list(wanted), []
    while any(left):
        part = [0] * len(left)
        for at, count in enumerate(left):
            while part[at] < count and one((*part[:at], part[at] + 1, *part[at + 1 :])) is not None:
                part[at] += 1
        parcel = one(tuple(part))
        assert parcel is not None, "a single copy can be packed"
        parcels.append(parcel)
        left = [a - b for a, b in zip(left, part, strict=True)]
    return parcels


@dataclass(frozen=True, slots=True)
class Consignment:
    """
    The prints for one address. `zone` names its limits and prices: equal names, equal limits and prices.
    """

    key: int
    leaves: tuple[tuple[Leaf, int], ...]
    zone: str


def pack_all(
    consignments: Iterable[Consignment],
    *,
    mailers: Sequence[Mailer],
    services: Mapping[str, tuple[Limits, Postage]],
    unit: str = "mm",
) -> tuple[dict[int, tuple[Packed, ...]], dict[int, CannotPack]]:
    """
    Every address in its order, from one stock of mailers: what has run out is not taken while another one does.

    Parameters: mailers, `count` are those that are there; less than none where more are used than were bought; unit,
        that of lengths in the reasons.

    Returns: parcels by key, and why not by key.
    Notes: what is alike is worked out once; two thousand addresses take about a second.
    """
    left = {mailer.code: mailer.count for mailer in mailers}
    known: dict[tuple[object, ...], tuple[Packed, ...] | CannotPack] = {}
    packed, refused = {}, {}
    for one in consignments:
        in_stock = tuple(replace(mailer, count=int(left[mailer.code] > 0)) for mailer in mailers)
        alike = (one.leaves, one.zone, tuple(mailer.count for mailer in in_stock))
        if alike not in known:
            known[alike] = _try_to_pack(one, mailers=in_stock, service=services[one.zone], unit=unit)
        found = known[alike]
        if isinstance(found, CannotPack):
            refused[one.key] = found
            continue
        packed[one.key] = _from_stock(one, found, mailers=mailers, left=left, service=services[one.zone])
    return packed, refused


def _from_stock(
    one: Consignment,
    parcels: Sequence[Packed],
    *,
    mailers: Sequence[Mailer],
    left: dict[str, int],
    service: tuple[Limits, Postage],
) -> tuple[Packed, ...]:
    """Take the mailers out of `left`; one that this very address uses up gives way to another that is there."""
    limits, postage = service
    kinds = {leaf.code: leaf for leaf, _ in one.leaves}
    taken = []
    for parcel in parcels:
        found = parcel
        if left[parcel.mailer.code] <= 0:
            chosen = [(kinds[code], count) for code, count in parcel.leaves]
            there = [mailer for mailer in mailers if left[mailer.code] > 0]
            found = _cheapest(chosen, mailers=there, limits=limits, postage=postage) or parcel
        left[found.mailer.code] -= 1
        taken.append(found)
    return tuple(taken)


def _try_to_pack(
    one: Consignment, *, mailers: Sequence[Mailer], service: tuple[Limits, Postage], unit: str
) -> tuple[Packed, ...] | CannotPack:
    limits, postage = service
    try:
        return pack_parcels(dict(one.leaves), mailers=mailers, limits=limits, postage=postage, unit=unit)
    except CannotPack as why:
        return why


def count_mailers(parcels: Iterable[Packed], *, mailers: Iterable[Mailer]) -> dict[str, tuple[int, int]]:
    """Mailers by code: how many are needed, and how many of them would have to be bought."""
    there = {mailer.code: mailer.count for mailer in mailers}
    needed = Counter(parcel.mailer.code for parcel in parcels)
    return {code: (count, max(0, count - there[code])) for code, count in sorted(needed.items())}
