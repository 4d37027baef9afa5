"""One recipe line on one piece: what it costs, needs and weighs, and the same in words; whole options are `costs`."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from campaign.measures.lengths import format_size
from campaign.measures.money import portion
from campaign.planning.costing.quantities import (
    UNIT_WORDS,
    Wording,
    measure_words,
    number_words,
    price_words,
    quantity_words,
    source_words,
)
from campaign.planning.errors import OverSizeTable
from campaign.planning.results import CostLine
from campaign.planning.specs import (
    Basis,
    FinishSpec,
    RecipeLine,
    SizePrice,
    SizeSpec,
)

_BASIS_UNIT = {
    Basis.PIECE: "piece",
    Basis.PRINT_AREA: "m2",
    Basis.OUTER_AREA: "m2",
    Basis.OUTER_PERIMETER: "m",
    Basis.MINUTE: "minute",
    Basis.INK_AREA: "m2",
}
BY_SIZE = (Basis.PRINT_SIZE, Basis.OUTER_SIZE)
# Looking a member up at its class takes longer than the sum; every option of a show asks several times.
_PRINT_AREA, _INK_AREA = Basis.PRINT_AREA, Basis.INK_AREA
_OUTER_AREA, _OUTER_PERIMETER = Basis.OUTER_AREA, Basis.OUTER_PERIMETER
_E8 = 100_000_000


@dataclass(frozen=True, slots=True)
class Extent:
    """Print and outer size of an option in millimetres, its ink coverage, and what each basis measures on it."""

    print_width_mm: int
    print_height_mm: int
    width_mm: int
    height_mm: int
    coverage_percent: int = 100

    def measure_e8(self, basis: Basis) -> int:
        """Square metres for areas, metres for the perimeter, 1 for the rest; exact, in hundred-millionths."""
        if basis == _PRINT_AREA:
            return self.print_width_mm * self.print_height_mm * 100
        if basis == _INK_AREA:
            return self.print_width_mm * self.print_height_mm * self.coverage_percent
        if basis == _OUTER_AREA:
            return self.width_mm * self.height_mm * 100
        if basis == _OUTER_PERIMETER:
            return 2 * (self.width_mm + self.height_mm) * 100_000
        return _E8


def extent_of(size: SizeSpec, finish: FinishSpec, *, coverage_percent: int = 100) -> Extent:
    """
    Outer size of a print in a finish: print + 2 x (border + mat + moulding), both ways.

    >>> finish = FinishSpec("oak", "Oak", 80, 10, 50, 20, True, ())
    >>> extent = extent_of(SizeSpec("a3", 297, 420), finish)
    >>> extent.width_mm, extent.height_mm
    (457, 580)
    """
    frame_mm = 2 * (finish.border_mm + finish.mat_mm + finish.moulding_mm)
    return Extent(size.width_mm, size.height_mm, size.width_mm + frame_mm, size.height_mm + frame_mm, coverage_percent)


def line_amount_minor(line: RecipeLine, *, extent: Extent) -> int:
    """
    What one recipe line costs by itself in minor units, rounded once, half to even, after waste.

    Returns: 0 for a supply, which is bought for the show as a whole.
    Raises: OverSizeTable when the price goes by size and no row of the table holds the piece.
    """
    scaled = extent.measure_e8(line.basis) * line.quantity_milli * (10_000 + line.waste_bp)
    if line.basis in BY_SIZE:
        price = table_row(line, extent=extent).price_minor
        return portion(price * scaled, numerator=1, denominator=_E8 * 1000 * 10_000)
    if line.item.is_supply:
        return 0
    # price_minor buys per_milli / 1000 units, so the thousandths of quantity and price cancel out.
    return portion(line.item.price_minor * scaled, numerator=1, denominator=_E8 * 10_000 * line.item.per_milli)


def need_micro(line: RecipeLine, *, extent: Extent) -> int:
    """What one recipe line takes of a supply in millionths of a unit, waste included, rounded up; 0 if it is none."""
    if line.basis in BY_SIZE or not line.item.is_supply:
        return 0
    scaled = extent.measure_e8(line.basis) * line.quantity_milli * (10_000 + line.waste_bp)
    return -(-scaled * 1_000_000 // (_E8 * 1000 * 10_000))


def table_row(line: RecipeLine, *, extent: Extent) -> SizePrice:
    """
    The cheapest row of an item's size table that holds the piece, whichever way it is turned; the first of equals.

    Raises: OverSizeTable.
    """
    width, height = _piece_mm(line, extent=extent)
    short, long = sorted((width, height))
    holding = [
        row
        for row in line.item.table
        if short <= min(row.width_mm, row.height_mm) and long <= max(row.width_mm, row.height_mm)
    ]
    if not holding:
        raise OverSizeTable(item_name=line.item.name, width_mm=width, height_mm=height)
    return min(holding, key=lambda row: row.price_minor)


def cost_line(line: RecipeLine, *, extent: Extent, wording: Wording, giver: str = "") -> CostLine:
    """
    One recipe line on one extent, opened into words.

    Parameters: giver, who gives the item for this work; the line then costs nothing and names them.
    Returns: the amount in minor units, 0 for a supply and for what is given; the arithmetic in words.
    Raises: OverSizeTable.
    """
    if giver:
        return CostLine(line.item.name, f"{_quantity(line, extent=extent)}, given by {giver}", 0)
    amount = line_amount_minor(line, extent=extent)
    waste = f" + {number_words(Fraction(line.waste_bp, 100))} % waste" if line.waste_bp else ""
    if line.basis in BY_SIZE:
        row = table_row(line, extent=extent)
        upto = f"up to {format_size(row.width_mm, row.height_mm, unit=wording.length_unit)}"
        arithmetic = f"{_quantity(line, extent=extent)} {upto} × {wording.money(row.price_minor)}{waste}"
    elif line.item.is_supply:
        arithmetic = f"{_quantity(line, extent=extent)}{waste}, {source_words(line.item)}"
    else:
        arithmetic = f"{_quantity(line, extent=extent)} × {price_words(line.item, wording=wording)}{waste}"
    return CostLine(text=line.item.name, arithmetic=arithmetic, amount_minor=amount)


def mass_g(lines: Sequence[RecipeLine], *, extent: Extent) -> int:
    """Mass of what hangs, waste left out; rounded once to whole grams, half to even."""
    scaled = sum(extent.measure_e8(line.basis) * line.quantity_milli * line.item.mass_g_per_unit for line in lines)
    return portion(scaled, numerator=1, denominator=_E8 * 1000)


def cost_lines(
    lines: Sequence[RecipeLine], *, extent: Extent, wording: Wording, givers: Mapping[str, str]
) -> tuple[CostLine, ...]:
    """Every recipe line in words; `givers` by item code. Raises: OverSizeTable."""
    return tuple(
        cost_line(line, extent=extent, wording=wording, giver=givers.get(line.item.code, "")) for line in lines
    )


def _piece_mm(line: RecipeLine, *, extent: Extent) -> tuple[int, int]:
    if line.basis is Basis.PRINT_SIZE:
        return extent.print_width_mm, extent.print_height_mm
    return extent.width_mm, extent.height_mm


def _quantity(line: RecipeLine, *, extent: Extent) -> str:
    """How much of an item, as measured: "2.40 m", "0.240 m² × 85 % ink × 12 ml per m²", "2 pieces"."""
    quantity, unit = Fraction(line.quantity_milli, 1000), line.item.unit
    if line.basis not in _BASIS_UNIT or line.basis in (Basis.PIECE, Basis.MINUTE):
        return quantity_words(quantity, unit)
    basis_unit = _BASIS_UNIT[line.basis]
    measured = Basis.PRINT_AREA if line.basis is Basis.INK_AREA else line.basis
    words = [f"{measure_words(Fraction(extent.measure_e8(measured), _E8))} {UNIT_WORDS[basis_unit]}"]
    if line.basis is Basis.INK_AREA:
        words.append(f"{extent.coverage_percent} % ink")
    if unit != basis_unit:
        words.append(f"{quantity_words(quantity, unit)} per {UNIT_WORDS[basis_unit]}")
    elif quantity != 1:
        words.append(number_words(quantity))
    return " × ".join(words)
