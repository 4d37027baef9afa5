"""What a plan is made from: price book, recipes, finishes, works, walls; frozen values in whole units."""

from dataclasses import dataclass
from enum import StrEnum

from campaign.planning.errors import InvalidRequest
from campaign.planning.results import CostLine


class Basis(StrEnum):
    """What the quantity of a recipe line is counted by."""

    PIECE = "piece"
    PRINT_AREA = "print_area"
    OUTER_AREA = "outer_area"
    OUTER_PERIMETER = "outer_perimeter"
    MINUTE = "minute"


def _require(*, field: str, found: int, least: int) -> None:
    if found < least:
        raise InvalidRequest(field=field, found=found, expected=f"{least} or more")


@dataclass(frozen=True, slots=True)
class PriceItem:
    """
    One entry of the price book: `price_minor` buys `per_milli` thousandths of a unit.

    `unit` is "piece", "m", "m2" or "minute"; `mass_g_per_unit` is what one unit weighs when it hangs.
    """

    code: str
    name: str
    unit: str
    price_minor: int
    per_milli: int = 1000
    mass_g_per_unit: int = 0

    def __post_init__(self) -> None:
        _require(field="price_minor", found=self.price_minor, least=0)
        _require(field="per_milli", found=self.per_milli, least=1)
        _require(field="mass_g_per_unit", found=self.mass_g_per_unit, least=0)


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
        _require(field="quantity_milli", found=self.quantity_milli, least=0)
        _require(field="waste_bp", found=self.waste_bp, least=0)


@dataclass(frozen=True, slots=True)
class FinishSpec:
    """A way to present a work; border, mat and moulding are each the visible width on one side."""

    code: str
    name: str
    worth: int
    border_mm: int
    mat_mm: int
    moulding_mm: int
    printed_at_home: bool
    lines: tuple[RecipeLine, ...]

    def __post_init__(self) -> None:
        _require(field="worth", found=self.worth, least=0)
        for field in ("border_mm", "mat_mm", "moulding_mm"):
            _require(field=field, found=getattr(self, field), least=0)


@dataclass(frozen=True, slots=True)
class SizeSpec:
    """A print size and how much it counts: factor 100 % is neutral."""

    code: str
    width_mm: int
    height_mm: int
    factor_percent: int = 100

    def __post_init__(self) -> None:
        for field in ("width_mm", "height_mm"):
            _require(field=field, found=getattr(self, field), least=1)
        _require(field="factor_percent", found=self.factor_percent, least=0)


@dataclass(frozen=True, slots=True)
class WorkSpec:
    """A work before costing: how much the show needs it (1 to 5) and what is offered for it."""

    code: str
    title: str
    need: int
    sizes: tuple[SizeSpec, ...]
    finishes: tuple[FinishSpec, ...]

    def __post_init__(self) -> None:
        if not 1 <= self.need <= 5:
            raise InvalidRequest(field="need", found=self.need, expected="1 to 5")


@dataclass(frozen=True, slots=True)
class BlockedArea:
    """A door, window, switch or radiator: lower left corner from the wall's left edge and from the floor."""

    name: str
    x_mm: int
    y_mm: int
    width_mm: int
    height_mm: int


@dataclass(frozen=True, slots=True)
class WallSpec:
    """One wall: works hang with their middle at `centre_mm` above the floor, `end_margin_mm` kept free at both ends."""

    code: str
    name: str
    width_mm: int
    height_mm: int
    centre_mm: int
    end_margin_mm: int
    blocked: tuple[BlockedArea, ...] = ()

    def __post_init__(self) -> None:
        for field in ("width_mm", "height_mm"):
            _require(field=field, found=getattr(self, field), least=1)
        _require(field="end_margin_mm", found=self.end_margin_mm, least=0)
        if not 0 < self.centre_mm < self.height_mm:
            raise InvalidRequest(field="centre_mm", found=self.centre_mm, expected="a height on the wall")


@dataclass(frozen=True, slots=True)
class Option:
    """One work in one size and finish, costed; outer and print sizes in millimetres."""

    work_code: str
    size_code: str
    finish_code: str
    width_mm: int
    height_mm: int
    print_width_mm: int
    print_height_mm: int
    cost_minor: int
    cost_lines: tuple[CostLine, ...]
    mass_g: int
    printer_seconds: int
    worth: int

    def __post_init__(self) -> None:
        for field in ("width_mm", "height_mm"):
            _require(field=field, found=getattr(self, field), least=1)
        for field in ("cost_minor", "mass_g", "printer_seconds", "worth"):
            _require(field=field, found=getattr(self, field), least=0)


@dataclass(frozen=True, slots=True)
class WorkOptions:
    """A work with every way it could hang; an option's index here is what a choice stores."""

    code: str
    title: str
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class PlanRequest:
    """
    Everything a staircase depends on; `show_cost_minor` is paid once if anything hangs at all.

    `min_gap_mm` is kept between neighbours and to both ends of a stretch; `printer_seconds` is what the
    printer can still do for the show before hanging day.
    """

    works: tuple[WorkOptions, ...]
    walls: tuple[WallSpec, ...]
    show_cost_minor: int
    min_gap_mm: int
    printer_seconds: int

    def __post_init__(self) -> None:
        for field in ("show_cost_minor", "min_gap_mm", "printer_seconds"):
            _require(field=field, found=getattr(self, field), least=0)
        for field, codes in (("works", [w.code for w in self.works]), ("walls", [w.code for w in self.walls])):
            if len(set(codes)) != len(codes):
                raise InvalidRequest(field=field, found=codes, expected="codes that differ from each other")
