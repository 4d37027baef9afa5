"""What the works on the wall are offered for, so that a wanted sum is left after the gallery's share; sums only."""

from collections.abc import Sequence
from dataclasses import dataclass

from campaign.measures.money import BP_PER_WHOLE, gross_up, portion_bp
from campaign.planning.errors import require


@dataclass(frozen=True, slots=True)
class SaleTerms:
    """
    The gallery's share and the artist's rounding.

    `round_to_minor` is what prices are a multiple of (500 for whole fives). Where `frames_pass_through` the gallery
    takes its share of the price less the frame's cost, otherwise of the whole price.
    """

    commission_bp: int
    round_to_minor: int = 1
    frames_pass_through: bool = False

    def __post_init__(self) -> None:
        require(field="commission_bp", found=self.commission_bp, least=0)
        require(field="commission_bp below the whole", found=BP_PER_WHOLE - self.commission_bp, least=1)
        require(field="round_to_minor", found=self.round_to_minor, least=1)


@dataclass(frozen=True, slots=True)
class WorkForSale:
    """`net_minor` is wanted after the gallery's share; `make_minor` is what hanging it costs, the frame included."""

    code: str
    title: str
    net_minor: int
    make_minor: int = 0
    frame_minor: int = 0

    def __post_init__(self) -> None:
        for field in ("net_minor", "make_minor", "frame_minor"):
            require(field=field, found=getattr(self, field), least=0)


@dataclass(frozen=True, slots=True)
class SalePrice:
    """A price and how a sale at it is shared: the gallery's side is computed, the artist's is the rest."""

    work: WorkForSale
    price_minor: int
    gallery_minor: int

    @property
    def artist_minor(self) -> int:
        """What the artist gets."""
        return self.price_minor - self.gallery_minor

    @property
    def beyond_minor(self) -> int:
        """What rounding gives the artist beyond the wanted sum."""
        return self.artist_minor - self.work.net_minor

    @property
    def margin_minor(self) -> int:
        """What is left of it once the making is paid; below zero where a sale does not cover it."""
        return self.artist_minor - self.work.make_minor


@dataclass(frozen=True, slots=True)
class PriceList:
    """Prices in the order of the works, and what selling all of them would come to."""

    prices: tuple[SalePrice, ...]

    @property
    def price_minor(self) -> int:
        """All prices together."""
        return sum(one.price_minor for one in self.prices)

    @property
    def gallery_minor(self) -> int:
        """The gallery's share of all of them."""
        return sum(one.gallery_minor for one in self.prices)

    @property
    def artist_minor(self) -> int:
        """The artist's part of all of them."""
        return sum(one.artist_minor for one in self.prices)

    @property
    def margin_minor(self) -> int:
        """What all of them leave once the making is paid."""
        return sum(one.margin_minor for one in self.prices)


def sale_price(work: WorkForSale, *, terms: SaleTerms) -> SalePrice:
    """
    The lowest price on the artist's rounding that leaves the wanted sum: net / (1 - share), rounded up.

    Notes: with frames passed through, the share is of price - frame, so price = (net - share x frame) / (1 - share);
        a wanted sum below the frame's cost leaves nothing to take a share of.
    Source: checked in tests/outside/test_commission.py.

    >>> sale_price(WorkForSale("w", "Ebb", 12_000), terms=SaleTerms(commission_bp=5_000)).price_minor
    24000
    """
    frame = min(work.frame_minor, work.net_minor) if terms.frames_pass_through else 0
    lowest = frame + gross_up(work.net_minor - frame, fee_bp=terms.commission_bp, fee_fixed_minor=0)
    price = -(-lowest // terms.round_to_minor) * terms.round_to_minor
    return share_sale(work, price_minor=price, terms=terms)


def share_sale(work: WorkForSale, *, price_minor: int, terms: SaleTerms) -> SalePrice:
    """
    How a sale at `price_minor` is shared.

    >>> sold = share_sale(WorkForSale("w", "Ebb", 0), price_minor=33_333, terms=SaleTerms(commission_bp=4_000))
    >>> sold.gallery_minor, sold.artist_minor
    (13333, 20000)
    """
    frame = work.frame_minor if terms.frames_pass_through else 0
    gallery = portion_bp(max(0, price_minor - frame), bp=terms.commission_bp)
    return SalePrice(work=work, price_minor=price_minor, gallery_minor=gallery)


def price_list(works: Sequence[WorkForSale], *, terms: SaleTerms) -> PriceList:
    """Every work's price."""
    return PriceList(tuple(sale_price(work, terms=terms) for work in works))


def step_nets(net_minor: int, *, steps: int, raise_bp: int) -> tuple[int, ...]:
    """
    Wanted sums for the steps of an edition: each step asks `raise_bp` of the first sum more than the one before.

    >>> step_nets(20_000, steps=3, raise_bp=2_500)
    (20000, 25000, 30000)
    """
    require(field="steps", found=steps, least=1)
    return tuple(net_minor + portion_bp(net_minor, bp=raise_bp * step) for step in range(steps))
