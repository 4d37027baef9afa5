"""What a show folder says of costs, as frozen rows in our own units."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class FinishRow:
    """How a work is presented. border, mat and moulding widths add up on each side of the print."""

    code: str
    name: str
    worth: int  # 0–100
    border_mm: int
    mat_mm: int
    moulding_mm: int
    is_printed_at_home: bool
    setup_minor: int  # once, when anything hangs in it
    least_minor: int  # the least that its works come to
    lead_days: int  # working days from print to finished work
    depth_mm: int
    drop_mm: int
    is_glazed: bool


@dataclass(frozen=True, slots=True)
class RecipeRow:
    """One cost line of a finish. basis: one of `campaign.models.Basis`."""

    finish_code: str
    item_code: str
    basis: str
    quantity_milli: int  # 1000 = once
    waste_bp: int


@dataclass(frozen=True, slots=True)
class PriceRow:
    """
    One line of the price book. unit: piece, m, m2, ml, minute; price_minor buys per_milli/1000 units.

    With is_sold_in_packs nothing less can be bought; shelf_milli is there already.
    """

    code: str
    name: str
    unit: str
    price_minor: int
    per_milli: int
    mass_g_per_unit: int
    priced_on: date | None
    is_sold_in_packs: bool
    shelf_milli: int


@dataclass(frozen=True, slots=True)
class StepRow:
    """From so many packs on, every pack of an item costs price_minor."""

    item_code: str
    from_packs: int
    price_minor: int


@dataclass(frozen=True, slots=True)
class SizePriceRow:
    """A piece up to this size costs price_minor, whichever way it is turned."""

    item_code: str
    width_mm: int
    height_mm: int
    price_minor: int


@dataclass(frozen=True, slots=True)
class ShowCostRow:
    """A cost paid once if anything hangs: cards, reception, insurance, hanging hardware."""

    name: str
    amount_minor: int
    note: str


@dataclass(frozen=True, slots=True)
class GiftRow:
    """Something given: quantity_milli of an item for the show, or the item for one work; thanks "" = not named."""

    giver: str
    item_code: str
    quantity_milli: int
    work_code: str  # "" = for the whole show
    value_minor: int | None  # what it is worth, as the giver says
    thanks: str
