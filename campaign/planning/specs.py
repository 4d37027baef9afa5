"""What options are costed from: price book, recipes, finishes, works; frozen values in whole units."""

from dataclasses import dataclass, replace
from enum import StrEnum

from campaign.planning.errors import InvalidRequest, require
from campaign.planning.inputs import Pin


class Basis(StrEnum):
    """
    What the quantity of a recipe line is counted by.

    INK_AREA is the print area times the work's ink coverage; PRINT_SIZE and OUTER_SIZE look the price up in the
    item's size table.
    """

    PIECE = "piece"
    PRINT_AREA = "print_area"
    OUTER_AREA = "outer_area"
    OUTER_PERIMETER = "outer_perimeter"
    MINUTE = "minute"
    INK_AREA = "ink_area"
    PRINT_SIZE = "print_size"
    OUTER_SIZE = "outer_size"


@dataclass(frozen=True, slots=True)
class PriceStep:
    """From `from_packs` packs on, every pack costs `price_minor`."""

    from_packs: int
    price_minor: int

    def __post_init__(self) -> None:
        require(field="from_packs", found=self.from_packs, least=2)
        require(field="price_minor", found=self.price_minor, least=0)


@dataclass(frozen=True, slots=True)
class SizePrice:
    """One row of a size table: what a piece up to this size costs, whichever way it is turned."""

    width_mm: int
    height_mm: int
    price_minor: int

    def __post_init__(self) -> None:
        for field in ("width_mm", "height_mm"):
            require(field=field, found=getattr(self, field), least=1)
        require(field="price_minor", found=self.price_minor, least=0)


@dataclass(frozen=True, slots=True)
class PriceItem:
    """
    One entry of the price book: `price_minor` buys `per_milli` thousandths of a unit.

    `unit` is "piece", "m", "m2", "ml" or "minute"; `mass_g_per_unit` is what one unit weighs when it hangs.
    With `is_sold_in_packs` the price is for a whole pack of `per_milli` and nothing less can be bought; `steps` then
    lower it by the number of packs. `shelf_milli` is there already. `table` prices pieces by size.
    """

    code: str
    name: str
    unit: str
    price_minor: int
    per_milli: int = 1000
    mass_g_per_unit: int = 0
    is_sold_in_packs: bool = False
    shelf_milli: int = 0
    steps: tuple[PriceStep, ...] = ()
    table: tuple[SizePrice, ...] = ()

    def __post_init__(self) -> None:
        require(field="price_minor", found=self.price_minor, least=0)
        require(field="per_milli", found=self.per_milli, least=1)
        require(field="mass_g_per_unit", found=self.mass_g_per_unit, least=0)
        require(field="shelf_milli", found=self.shelf_milli, least=0)

    @property
    def is_supply(self) -> bool:
        """Whether it is counted over the whole show: bought in whole packs, or partly on the shelf."""
        return self.is_sold_in_packs or self.shelf_milli > 0


@dataclass(frozen=True, slots=True)
class RecipeLine:
    """
    How much of an item a finish takes: `quantity_milli` thousandths of a unit per basis measure.

    The measure is 1 for PIECE and MINUTE, square metres for the areas, metres for the perimeter; `waste_bp`
    is added to the cost (1000 = 10 %), never to the mass.
    """

    item: PriceItem
    basis: Basis
    quantity_milli: int = 1000
    waste_bp: int = 0

    def __post_init__(self) -> None:
        require(field="quantity_milli", found=self.quantity_milli, least=0)
        require(field="waste_bp", found=self.waste_bp, least=0)


def _in_full(line: RecipeLine) -> RecipeLine:
    if line.item.is_sold_in_packs or not line.item.shelf_milli:
        return line
    return replace(line, item=replace(line.item, shelf_milli=0))


@dataclass(frozen=True, slots=True)
class FinishSpec:
    """
    A way to present a work; border, mat and moulding are each the visible width on one side.

    `setup_minor` is paid once when anything hangs in this finish, `least_minor` is the least that all its works'
    own costs come to; `lead_days` are the working days from the print to the finished work. With a least charge, what
    is not sold in packs counts in full: were the shelf taken first, having a piece could make the whole dearer.
    """

    code: str
    name: str
    worth: int
    border_mm: int
    mat_mm: int
    moulding_mm: int
    printed_at_home: bool
    lines: tuple[RecipeLine, ...]
    setup_minor: int = 0
    least_minor: int = 0
    lead_days: int = 0
    depth_mm: int = 0

    def __post_init__(self) -> None:
        for field in ("worth", "border_mm", "mat_mm", "moulding_mm", "setup_minor", "least_minor", "lead_days"):
            require(field=field, found=getattr(self, field), least=0)
        if self.least_minor:
            object.__setattr__(self, "lines", tuple(_in_full(line) for line in self.lines))


@dataclass(frozen=True, slots=True)
class SizeSpec:
    """A print size and how much it counts: factor 100 % is neutral."""

    code: str
    width_mm: int
    height_mm: int
    factor_percent: int = 100

    def __post_init__(self) -> None:
        for field in ("width_mm", "height_mm"):
            require(field=field, found=getattr(self, field), least=1)
        require(field="factor_percent", found=self.factor_percent, least=0)


@dataclass(frozen=True, slots=True)
class WorkSpec:
    """
    A work before costing: how much the show needs it (1 to 5) and what is offered for it.

    `coverage_percent` scales the ink; `worths` holds the artist's own worth for single (size code, finish code)s;
    `given` maps price item codes to who gives them for this work: such a line costs nothing.
    """

    code: str
    title: str
    need: int
    sizes: tuple[SizeSpec, ...]
    finishes: tuple[FinishSpec, ...]
    series: str = ""
    must_hang: bool = False
    pin: Pin | None = None
    coverage_percent: int = 100
    worths: tuple[tuple[str, str, int], ...] = ()
    given: tuple[tuple[str, str], ...] = ()

    def __post_init__(self) -> None:
        if not 1 <= self.need <= 5:
            raise InvalidRequest(field="need", found=self.need, expected="1 to 5")
        require(field="coverage_percent", found=self.coverage_percent, least=0)
