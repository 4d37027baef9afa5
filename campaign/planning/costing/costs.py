"""From price book and recipe to the cost, needs, mass, printer time and worth of an option; no optimising here."""

from campaign.measures.money import portion
from campaign.planning.costing.quantities import Wording
from campaign.planning.costing.recipe_lines import Extent, cost_lines, extent_of, line_amount_minor, mass_g, need_micro
from campaign.planning.errors import OverSizeTable
from campaign.planning.inputs import (
    Need,
    Option,
    WorkOptions,
)
from campaign.planning.specs import (
    FinishSpec,
    SizeSpec,
    WorkSpec,
)


def worth_points(*, need: int, finish_worth: int, factor_percent: int) -> int:
    """
    Worth of an option: need x finish worth x size factor, rounded half to even to whole points.

    >>> worth_points(need=3, finish_worth=75, factor_percent=110)
    248
    """
    return portion(need * finish_worth * factor_percent, numerator=1, denominator=100)


def printer_seconds(*, extent: Extent, printer_seconds_per_m2: int) -> int:
    """Time on the printer for one print; a started second counts as a whole one."""
    area_mm2 = extent.print_width_mm * extent.print_height_mm
    return -(-area_mm2 * printer_seconds_per_m2 // 1_000_000)


def cost_option(
    work: WorkSpec, *, size: SizeSpec, finish: FinishSpec, printer_seconds_per_m2: int, wording: Wording | None = None
) -> Option:
    """
    Cost one work in one size and finish.

    Parameters: printer_seconds_per_m2, time for one square metre of print, counted when the finish is printed at
        home; wording, for the cost lines, which are left out without it.
    Returns: the option; cost_minor is the sum of its lines, needs one per supply in the recipe's order, mass in
        grams, printer time in seconds. The artist's own worth, where given, is taken as it stands.
    Raises: OverSizeTable when a price goes by size and the piece is larger than the table.
    """
    extent = extent_of(size, finish, coverage_percent=work.coverage_percent)
    givers, own_worths = dict(work.given), {(s, f): worth for s, f, worth in work.worths}
    bought = [line for line in finish.lines if line.item.code not in givers]
    needs: dict[str, int] = {}
    for line in bought:
        needs[line.item.code] = needs.get(line.item.code, 0) + need_micro(line, extent=extent)
    seconds = printer_seconds(extent=extent, printer_seconds_per_m2=printer_seconds_per_m2)
    worth = worth_points(need=work.need, finish_worth=finish.worth, factor_percent=size.factor_percent)
    return Option(
        work_code=work.code,
        size_code=size.code,
        finish_code=finish.code,
        width_mm=extent.width_mm,
        height_mm=extent.height_mm,
        print_width_mm=extent.print_width_mm,
        print_height_mm=extent.print_height_mm,
        cost_minor=sum(line_amount_minor(line, extent=extent) for line in bought),
        cost_lines=cost_lines(finish.lines, extent=extent, wording=wording, givers=givers) if wording else (),
        mass_g=mass_g(finish.lines, extent=extent),
        printer_seconds=seconds if finish.printed_at_home else 0,
        worth=own_worths.get((size.code, finish.code), worth),
        needs=tuple(Need(code, micro) for code, micro in needs.items() if micro),
        lead_days=finish.lead_days,
        depth_mm=finish.depth_mm,
    )


def options_for(work: WorkSpec, *, printer_seconds_per_m2: int, wording: Wording | None = None) -> WorkOptions:
    """
    Every size in every finish that has a price, sizes in order, finishes in order within each size.

    What is larger than a size table is left out; `offers.over_table` says which and why.
    """
    options: list[Option] = []
    for size in work.sizes:
        for finish in work.finishes:
            try:
                option = cost_option(
                    work, size=size, finish=finish, printer_seconds_per_m2=printer_seconds_per_m2, wording=wording
                )
            except OverSizeTable:
                continue
            options.append(option)
    return WorkOptions(
        code=work.code,
        title=work.title,
        options=tuple(options),
        series=work.series,
        must_hang=work.must_hang,
        pin=work.pin,
    )
