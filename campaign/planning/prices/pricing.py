"""What one ordered print leaves for the walls, and how many of them a sum of wall money takes; sums only."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate

from campaign.measures.money import BP_PER_WHOLE, allocate, portion_bp
from campaign.planning.costing.quantities import Wording, number_words
from campaign.planning.errors import require
from campaign.planning.income import tax_inside
from campaign.planning.results import CostLine


@dataclass(frozen=True, slots=True)
class CopyTerms:
    """
    What one copy costs the artist and what is taken off its price, minor units and basis points.

    `tax_bp` is a rate that prices and postage include (1900 of 119.00 is 19.00); `set_aside_bp` a share of what comes
    in less that tax, so nothing is kept twice. The fee, percent and fixed part, is on price and postage together.
    """

    make_minor: int = 0
    pack_minor: int = 0
    fee_bp: int = 0
    fee_fixed_minor: int = 0
    set_aside_bp: int = 0
    tax_bp: int = 0

    def __post_init__(self) -> None:
        for field in ("make_minor", "pack_minor", "fee_bp", "fee_fixed_minor", "set_aside_bp", "tax_bp"):
            require(field=field, found=getattr(self, field), least=0)


@dataclass(frozen=True, slots=True)
class PostZone:
    """Where a backer lives, as far as the post is concerned: what one copy is charged, and what it costs to post."""

    name: str
    charge_minor: int = 0
    cost_minor: int = 0


@dataclass(frozen=True, slots=True)
class PriceRun:
    """So many copies in a row at one price; a whole edition is one run, or several at rising prices."""

    copies: int
    price_minor: int

    def __post_init__(self) -> None:
        require(field="copies", found=self.copies, least=0)
        require(field="price_minor", found=self.price_minor, least=0)


@dataclass(frozen=True, slots=True)
class Buyers:
    """Where the buyers live: one whole weight, >= 0, per zone; not all of them zero."""

    zones: tuple[PostZone, ...]
    weights: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class CopyNet:
    """What one ordered copy leaves for the walls, and the lines that add up to it; what is taken off is negative."""

    zone: PostZone
    price_minor: int
    lines: tuple[CostLine, ...]
    net_minor: int


@dataclass(frozen=True, slots=True)
class Needed:
    """
    How many copies a sum of wall money takes.

    `copies` is None where not even all of them reach it. `before_minor` is what is missing with one copy fewer, 0
    where no copy is needed; `beyond_minor` what is over; `all_minor` the wall money that all copies would make.
    """

    goal_minor: int
    copies: int | None
    before_minor: int
    beyond_minor: int
    all_copies: int
    all_minor: int


def net_of_copy(terms: CopyTerms, *, price_minor: int, zone: PostZone, wording: Wording) -> CopyNet:
    """
    Open one copy, sold to a backer in `zone`, into what comes in, what is taken off and what is left.

    Returns: lines that are not nothing, the price always first; each rounded once, half to even.
    Source: checked in tests/outside/test_fee_gross_up.py.

    >>> terms = CopyTerms(make_minor=620, pack_minor=180, fee_bp=290, fee_fixed_minor=30)
    >>> post = PostZone("home", charge_minor=0, cost_minor=750)
    >>> net_of_copy(terms, price_minor=6000, zone=post, wording=Wording("EUR")).net_minor
    4246
    """
    gross = price_minor + zone.charge_minor
    came = f"of {wording.money(gross)}"
    fixed = f" + {wording.money(terms.fee_fixed_minor)}" if terms.fee_fixed_minor else ""
    aside, tax, fee = _taken_off(terms, gross_minor=gross)
    lines = (
        CostLine("Price of the print", "", price_minor),
        CostLine("Postage that the backer pays", zone.name, zone.charge_minor),
        CostLine("Tax inside", f"{percent_words(terms.tax_bp)} inside {wording.money(gross)}", -tax),
        CostLine("Set aside for tax", f"{percent_words(terms.set_aside_bp)} of {wording.money(gross - tax)}", -aside),
        CostLine("Fee of the payment processor, estimated", f"{percent_words(terms.fee_bp)} {came}{fixed}", -fee),
        CostLine("Making the print", "", -terms.make_minor),
        CostLine("Packing it", "", -terms.pack_minor),
        CostLine("Posting it", zone.name, -zone.cost_minor),
    )
    shown = tuple(line for number, line in enumerate(lines) if number == 0 or line.amount_minor)
    net = net_minor(terms, price_minor=price_minor, zone=zone)
    return CopyNet(zone=zone, price_minor=price_minor, lines=shown, net_minor=net)


def net_minor(terms: CopyTerms, *, price_minor: int, zone: PostZone) -> int:
    """What one copy leaves, without the words; below zero where it costs more than it brings."""
    gross = price_minor + zone.charge_minor
    taken = sum(_taken_off(terms, gross_minor=gross))
    return gross - taken - terms.make_minor - terms.pack_minor - zone.cost_minor


def mix_buyers(zones: Sequence[PostZone], *, home: int | None, abroad_bp: int, abroad: Sequence[int] = ()) -> Buyers:
    """
    Weights for a share of buyers who live abroad.

    Parameters: zones, at least one; home, index of the artist's own zone, None where nothing is posted at home;
        abroad_bp, share of buyers in the other zones; abroad, one weight per zone for how they divide, the one at
        `home` ignored, all alike if empty or all zero.
    Notes: with one zone everybody lives in it.
    """
    weights = [0 if index == home else weight for index, weight in enumerate(abroad or [1] * len(zones))]
    if not any(weights):
        weights = [int(index != home) for index in range(len(zones))]
    whole = sum(weights)
    if home is None or not whole:
        return Buyers(tuple(zones), tuple(weights) if whole else (1,) * len(zones))
    mixed = [weight * abroad_bp for weight in weights]
    mixed[home] = (BP_PER_WHOLE - abroad_bp) * whole
    return Buyers(tuple(zones), tuple(mixed))


def share_copies(copies: int, *, buyers: Buyers) -> tuple[int, ...]:
    """
    How many of `copies` go to each zone: largest remainder, so that they add up.

    >>> share_copies(10, buyers=mix_buyers([PostZone("home"), PostZone("away")], home=0, abroad_bp=3333))
    (7, 3)
    """
    return allocate(copies, buyers.weights)


def money_by_copies(terms: CopyTerms, *, runs: Sequence[PriceRun], buyers: Buyers) -> tuple[int, ...]:
    """
    What the first 0, 1, 2, … copies leave together; the runs are sold one after the other, each to the same mixture.

    Returns: one sum more than there are copies. O(copies × zones).
    """
    money = [0]
    for run in runs:
        nets = [net_minor(terms, price_minor=run.price_minor, zone=zone) for zone in buyers.zones]
        before = money[-1]
        for copies in range(1, run.copies + 1):
            shares = share_copies(copies, buyers=buyers)
            money.append(before + sum(share * net for share, net in zip(shares, nets, strict=True)))
    return tuple(money)


def runs_after(runs: Sequence[PriceRun], *, sold: int) -> tuple[PriceRun, ...]:
    """The runs that are left once the first `sold` copies are gone."""
    ends = accumulate(run.copies for run in runs)
    left = (PriceRun(min(run.copies, max(0, end - sold)), run.price_minor) for run, end in zip(runs, ends, strict=True))
    return tuple(run for run in left if run.copies)


def dearer_end(*, copies: int, price_minor: int, last: int, last_price_minor: int) -> tuple[PriceRun, ...]:
    """An edition whose last copies cost something else; as many as there are if `last` is more."""
    last = min(last, copies)
    return tuple(run for run in (PriceRun(copies - last, price_minor), PriceRun(last, last_price_minor)) if run.copies)


def copies_for(goal_minor: int, *, money: Sequence[int], other_minor: int = 0, contingency_bp: int = 0) -> Needed:
    """
    The fewest copies that bring wall money to `goal_minor`.

    Parameters: money, as `money_by_copies` gives it; other_minor, what is there besides, below zero for costs;
        contingency_bp, share of the sum that is kept unspent.
    Source: checked in tests/outside/test_fee_gross_up.py.

    >>> copies_for(150_000, money=[4246 * n for n in range(61)]).copies
    36
    """

    def wall(copies: int) -> int:
        total = other_minor + money[copies]
        return total - portion_bp(max(0, total), bp=contingency_bp)

    everything = len(money) - 1
    copies = next((number for number in range(everything + 1) if wall(number) >= goal_minor), None)
    return Needed(
        goal_minor=goal_minor,
        copies=copies,
        before_minor=goal_minor - wall(copies - 1) if copies else 0,
        beyond_minor=wall(copies) - goal_minor if copies is not None else 0,
        all_copies=everything,
        all_minor=wall(everything),
    )


def _taken_off(terms: CopyTerms, *, gross_minor: int) -> tuple[int, int, int]:
    """Set aside, tax inside and fee of what came in."""
    tax_minor = tax_inside(gross_minor, tax_bp=terms.tax_bp)
    return (
        portion_bp(gross_minor - tax_minor, bp=terms.set_aside_bp),
        tax_minor,
        portion_bp(gross_minor, bp=terms.fee_bp) + terms.fee_fixed_minor,
    )


def percent_words(bp: int) -> str:
    """
    Hundredths of a per cent as people write them.

    >>> percent_words(290)
    '2.9 %'
    """
    return f"{number_words(Fraction(bp, 100))} %"
