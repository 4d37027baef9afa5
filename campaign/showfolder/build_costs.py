"""Values of the tables of costs and rules into their frozen rows; the other tables are in `build.py`."""

from collections.abc import Callable, Mapping
from typing import Any

from campaign.showfolder.cost_rows import FinishRow, GiftRow, PriceRow, RecipeRow, ShowCostRow, SizePriceRow, StepRow
from campaign.showfolder.rule_rows import ClosedDayRow, DeadlineRow, PairRow, WorthRow

Values = Mapping[str, Any]


def price_row(values: Values) -> PriceRow:
    """A line of the price book; hours become minutes."""
    per_hour = values["unit"] == "hour"
    return PriceRow(
        code=values["code"],
        name=values["name"],
        unit="minute" if per_hour else values["unit"],
        price_minor=values["price"],
        per_milli=values["per"] * (60 if per_hour else 1),
        mass_g_per_unit=values["mass per unit"],
        priced_on=values["priced on"],
        is_sold_in_packs=values["sold in packs"],
        shelf_milli=values["on the shelf"] * (60 if per_hour else 1),
    )


def finish_row(values: Values) -> FinishRow:
    """A finish without its recipe."""
    return FinishRow(
        code=values["code"],
        name=values["name"],
        worth=values["worth"],
        border_mm=values["border"],
        mat_mm=values["mat"],
        moulding_mm=values["moulding"],
        is_printed_at_home=values["printed at home"],
        setup_minor=values["set-up"],
        least_minor=values["least charge"],
        lead_days=values["lead days"],
        depth_mm=values["depth"],
        drop_mm=values["drop"],
        is_glazed=values["glazed"],
    )


def recipe_row(values: Values) -> RecipeRow:
    """A cost line, finish and item as the row spells them."""
    return RecipeRow(
        finish_code=values["finish"],
        item_code=values["item"],
        basis=values["basis"],
        quantity_milli=values["quantity"],
        waste_bp=values["waste"],
    )


def cost_row(values: Values) -> ShowCostRow:
    """A cost of the show as a whole."""
    return ShowCostRow(name=values["name"], amount_minor=values["amount"], note=values["note"])


def step_row(values: Values) -> StepRow:
    """A price step, its item as the row spells it."""
    return StepRow(item_code=values["item"], from_packs=values["from packs"], price_minor=values["price"])


def size_price_row(values: Values) -> SizePriceRow:
    """A row of a size table, its item as the row spells it."""
    width_mm, height_mm = values["up to"]
    return SizePriceRow(values["item"], width_mm, height_mm, price_minor=values["price"])


def gift_row(values: Values) -> GiftRow:
    """A gift in kind, item and work as the row spells them."""
    return GiftRow(
        giver=values["giver"],
        item_code=values["item"],
        quantity_milli=values["quantity"],
        work_code=values["work"],
        value_minor=values["value"],
        thanks=values["thanks"],
    )


def worth_row(values: Values) -> WorthRow:
    """An own worth, work and finish as the row spells them."""
    width_mm, height_mm = values["size"]
    return WorthRow(values["work"], width_mm, height_mm, finish_code=values["finish"], worth=values["worth"])


def pair_row(values: Values) -> PairRow:
    """Two works and how they hang to each other."""
    return PairRow(kind=values["kind"], one_code=values["one"], other_code=values["other"])


def closed_day_row(values: Values) -> ClosedDayRow:
    """A day off."""
    return ClosedDayRow(day_on=values["day"], note=values["note"])


def deadline_row(values: Values) -> DeadlineRow:
    """A date set by others."""
    return DeadlineRow(
        name=values["name"],
        on=values["date"],
        kind=values["kind"],
        money_minor=values["money"],
        note=values["note"],
        is_done=values["done"],
    )


COST_BUILDERS: Mapping[str, Callable[[Values], Any]] = {
    "prices": price_row,
    "price steps": step_row,
    "size prices": size_price_row,
    "finishes": finish_row,
    "recipes": recipe_row,
    "costs": cost_row,
    "gifts": gift_row,
    "worths": worth_row,
    "pairs": pair_row,
    "closed days": closed_day_row,
    "deadlines": deadline_row,
}
