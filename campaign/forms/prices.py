"""Forms of the price book: an entry with its packs, price steps and size table; the shelf; how old a price may be."""

from collections.abc import Collection
from typing import Any

from crispy_forms.layout import HTML, Div
from django import forms

from campaign.forms.fields import CountField, DayField, MoneyField, QuantityField, SizeField, WeightField
from campaign.forms.show_form import RowForm, Rows, ShowForm, laid_out, rows_of
from campaign.services.prices import PriceWish

UNITS = [
    ("piece", "piece"), ("m", "metre"), ("m2", "square metre"), ("ml", "millilitre"), ("minute", "minute"),
]  # fmt: skip

NO_EFFECT = "Has no effect now: every recipe takes it by its size table."


class PriceForm(ShowForm):
    """One entry of the price book; `is_sized` when recipes take it by its size table alone."""

    name = forms.CharField(label="What", max_length=120)
    price_minor = MoneyField(label="Price")
    per_milli = QuantityField(label="For how many", least_milli=1, initial=1000)
    unit = forms.ChoiceField(label="Of which unit", choices=UNITS)
    is_sold_in_packs = forms.BooleanField(
        label="Sold in whole packs only", required=False,
        help_text="The price is then for one pack; the show buys as many as it takes.",
    )  # fmt: skip
    shelf_milli = QuantityField(
        label="On the shelf", required=False, help_text="How much is there already, in the unit. It is used up first."
    )
    mass_g_per_unit = WeightField(label="Weight of one unit", required=False, help_text="Of what stays on the wall.")
    priced_on = DayField(label="Price asked on", required=False)
    helper = laid_out(
        "name",
        Div("price_minor", "per_milli", "unit", css_class="row"),
        "is_sold_in_packs",
        Div("shelf_milli", "mass_g_per_unit", "priced_on", css_class="row"),
    )

    def __init__(self, *args: Any, is_sized: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("price_minor", "per_milli", "is_sold_in_packs", "shelf_milli") if is_sized else ():
            self.fields[name].help_text = NO_EFFECT


class StepRow(RowForm):
    """One price step."""

    from_packs = CountField(label="From how many packs on", least=2, most=100_000)
    price_minor = MoneyField(label="Each pack costs")


class SizePriceRow(RowForm):
    """One row of the size table."""

    size = SizeField(label="Up to this size", placeholder="60 × 40 cm")
    price_minor = MoneyField(label="Costs")


StepRows = rows_of(StepRow, spare=1)
SizePriceRows = rows_of(SizePriceRow, spare=1)


def read_price(form: PriceForm, *, steps: Rows, sizes: Rows) -> PriceWish | None:
    """What the three ask for, or None with a sentence at each field that cannot be right."""
    if not (form.is_valid() & steps.is_valid() & sizes.is_valid()):
        return None
    values = form.cleaned_data
    if steps.kept and not values["is_sold_in_packs"]:
        form.add_error("is_sold_in_packs", "Price steps count packs; tick this, or take the steps below away.")
    if sizes.kept and values["unit"] != "piece":
        form.add_error("unit", "A size table prices pieces; choose “piece”, or take the table below away.")
    _each_once(steps, field="from_packs", sentence="This number of packs stands here already; keep one price.")
    _each_once(sizes, field="size", sentence="This size stands here already; keep one price.")
    if form.errors or any(steps.errors) or any(sizes.errors):
        return None
    empty = {"mass_g_per_unit": values["mass_g_per_unit"] or 0, "shelf_milli": values["shelf_milli"] or 0}
    return PriceWish(
        **(values | empty),
        steps=tuple((row["from_packs"], row["price_minor"]) for row in steps.kept),
        sizes=tuple((*row["size"], row["price_minor"]) for row in sizes.kept),
    )


def _each_once(rows: Rows, *, field: str, sentence: str) -> None:
    seen: set[Any] = set()
    for row in rows.forms:
        value = row.cleaned_data.get(field)
        if value is None or row.cleaned_data.get("DELETE"):
            continue
        if value in seen:
            row.add_error(field, sentence)
        seen.add(value)


class ShelfForm(ShowForm):
    """The whole shelf in one list: a quantity for each item; `sized` are codes that go by a size table alone."""

    def __init__(self, *args: Any, items: list[Any], sized: Collection[str] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.codes = {f"item-{number}": item.code for number, item in enumerate(items)}
        units = dict(UNITS)
        for name, item in zip(self.codes, items, strict=True):
            label = f"{item.name}, {units[item.unit]}s"
            words = NO_EFFECT if item.code in sized else ""
            self.fields[name] = QuantityField(label=label, required=False, initial=item.shelf_milli, help_text=words)

    @property
    def shelf_milli(self) -> dict[str, int]:
        """Item code → what is there; an emptied field means nothing is."""
        return {code: self.cleaned_data[name] or 0 for name, code in self.codes.items()}


class OldPricesForm(ShowForm):
    """Since when a price counts as old."""

    old_prices_before_on = DayField(label="Flag prices asked before", required=False)
    helper = laid_out("old_prices_before_on", HTML('<p class="form-text">Empty: none is flagged.</p>'))
