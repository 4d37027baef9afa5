"""From price book and recipe to the cost, mass, printer time and worth of an option; no optimising here."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from campaign.measures.money import format_minor
from campaign.planning.inputs import (
    Option,
    WorkOptions,
)
from campaign.planning.results import CostLine
from campaign.planning.specs import (
    Basis,
    FinishSpec,
    PriceItem,
    RecipeLine,
    SizeSpec,
    WorkSpec,
)

_UNIT_WORDS = {"piece": "piece", "m": "m", "m2": "m²", "minute": "min"}
_BASIS_UNIT = {
    Basis.PIECE: "piece",
    Basis.PRINT_AREA: "m2",
    Basis.OUTER_AREA: "m2",
    Basis.OUTER_PERIMETER: "m",
    Basis.MINUTE: "minute",
}


@dataclass(frozen=True, slots=True)
class Extent:
    """Print and outer size of an option in millimetres, and what each basis measures on it."""

    print_width_mm: int
    print_height_mm: int
    width_mm: int
    height_mm: int

    def measure(self, basis: Basis) -> Fraction:
        """Square metres for areas, metres for the perimeter, 1 for piece and minute; exact."""
        match basis:
            case Basis.PRINT_AREA:
                return Fraction(self.print_width_mm * self.print_height_mm, 1_000_000)
            case Basis.OUTER_AREA:
                return Fraction(self.width_mm * self.height_mm, 1_000_000)
            case Basis.OUTER_PERIMETER:
                return Fraction(2 * (self.width_mm + self.height_mm), 1000)
            case _:
                return Fraction(1)


def extent_of(size: SizeSpec, finish: FinishSpec) -> Extent:
    """
    Outer size of a print in a finish: print + 2 x (border + mat + moulding), both ways.

    >>> finish = FinishSpec("oak", "Oak", 80, 10, 50, 20, True, ())
    >>> extent = extent_of(SizeSpec("a3", 297, 420), finish)
    >>> extent.width_mm, extent.height_mm
    (457, 580)
    """
    frame_mm = 2 * (finish.border_mm + finish.mat_mm + finish.moulding_mm)
    return Extent(size.width_mm, size.height_mm, size.width_mm + frame_mm, size.height_mm + frame_mm)


def cost_line(line: RecipeLine, *, extent: Extent, currency: str, locale: str = "en") -> CostLine:
    """
    Cost of one recipe line on one extent.

    Returns: the amount in minor units, rounded once, half to even, after waste; the arithmetic in words.
    """
    item = line.item
    units = extent.measure(line.basis) * Fraction(line.quantity_milli, 1000)
    exact = units * (1 + Fraction(line.waste_bp, 10_000)) * Fraction(item.price_minor * 1000, item.per_milli)
    words = [*_quantity_words(line, extent=extent), _price_words(item, currency=currency, locale=locale)]
    arithmetic = " × ".join(words)
    if line.waste_bp:
        arithmetic += f" + {_number(Fraction(line.waste_bp, 100))} % waste"
    return CostLine(text=item.name, arithmetic=arithmetic, amount_minor=round(exact))


def mass_g(lines: Sequence[RecipeLine], *, extent: Extent) -> int:
    """Mass of what hangs, waste left out; rounded once to whole grams, half to even."""
    total = Fraction(0)
    for line in lines:
        total += extent.measure(line.basis) * Fraction(line.quantity_milli, 1000) * line.item.mass_g_per_unit
    return round(total)


def worth_points(*, need: int, finish_worth: int, factor_percent: int) -> int:
    """
    Worth of an option: need x finish worth x size factor, rounded half to even to whole points.

    >>> worth_points(need=3, finish_worth=75, factor_percent=110)
    248
    """
    return round(Fraction(need * finish_worth * factor_percent, 100))


def printer_seconds(*, extent: Extent, printer_seconds_per_m2: int) -> int:
    """Time on the printer for one print; a started second counts as a whole one."""
    area_mm2 = extent.print_width_mm * extent.print_height_mm
    return -(-area_mm2 * printer_seconds_per_m2 // 1_000_000)


def cost_option(
    work: WorkSpec, *, size: SizeSpec, finish: FinishSpec, currency: str, printer_seconds_per_m2: int
) -> Option:
    """
    Cost one work in one size and finish.

    Parameters: currency, ISO 4217 code, for the words only; printer_seconds_per_m2, time for one square metre
        of print, counted when the finish is printed at home.
    Returns: the option; cost_minor is the sum of its lines, mass in grams, printer time in seconds.
    """
    extent = extent_of(size, finish)
    lines = tuple(cost_line(line, extent=extent, currency=currency) for line in finish.lines)
    seconds = printer_seconds(extent=extent, printer_seconds_per_m2=printer_seconds_per_m2)
    return Option(
        work_code=work.code,
        size_code=size.code,
        finish_code=finish.code,
        width_mm=extent.width_mm,
        height_mm=extent.height_mm,
        print_width_mm=extent.print_width_mm,
        print_height_mm=extent.print_height_mm,
        cost_minor=sum(line.amount_minor for line in lines),
        cost_lines=lines,
        mass_g=mass_g(finish.lines, extent=extent),
        printer_seconds=seconds if finish.printed_at_home else 0,
        worth=worth_points(need=work.need, finish_worth=finish.worth, factor_percent=size.factor_percent),
    )


def options_for(work: WorkSpec, *, currency: str, printer_seconds_per_m2: int) -> WorkOptions:
    """Every size in every finish, sizes in order, finishes in order within each size."""
    options = tuple(
        cost_option(work, size=size, finish=finish, currency=currency, printer_seconds_per_m2=printer_seconds_per_m2)
        for size in work.sizes
        for finish in work.finishes
    )
    return WorkOptions(code=work.code, title=work.title, options=options)


def _quantity_words(line: RecipeLine, *, extent: Extent) -> list[str]:
    basis_unit, unit = _BASIS_UNIT[line.basis], line.item.unit
    quantity = Fraction(line.quantity_milli, 1000)
    if line.basis in (Basis.PIECE, Basis.MINUTE):
        return [_with_unit(quantity, unit)]
    words = [f"{_measure_number(extent.measure(line.basis))} {_UNIT_WORDS[basis_unit]}"]
    if unit != basis_unit:
        words.append(f"{_with_unit(quantity, unit)} per {_UNIT_WORDS[basis_unit]}")
    elif quantity != 1:
        words.append(_number(quantity))
    return words


def _price_words(item: PriceItem, *, currency: str, locale: str) -> str:
    price = format_minor(item.price_minor, currency=currency, locale=locale)
    if item.per_milli == 1000:
        return price
    return f"{price} per {_with_unit(Fraction(item.per_milli, 1000), item.unit)}"


def _with_unit(quantity: Fraction, unit: str) -> str:
    word = _UNIT_WORDS.get(unit, unit)
    plural = "s" if unit == "piece" and quantity != 1 else ""
    return f"{_number(quantity)} {word}{plural}"


def _measure_number(value: Fraction) -> str:
    return f"{float(value):.3f}" if value < 1 else f"{float(value):.2f}"


def _number(value: Fraction) -> str:
    """A quantity with at most three decimals, which is all that thousandths need."""
    return f"{float(value):.3f}".rstrip("0").rstrip(".")
