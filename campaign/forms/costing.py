"""Forms of the room Measure for what things cost: price book, finishes with recipes, show costs."""

from typing import Any

from crispy_forms.layout import Div
from django import forms

from campaign.forms.fields import (
    CountField,
    DayField,
    LengthField,
    MoneyField,
    PercentField,
    QuantityField,
    WeightField,
)
from campaign.forms.show_form import ItemField, RowForm, ShowForm, laid_out, rows_of
from campaign.services.finishes import FinishWish, RecipeWish
from campaign.services.prices import PriceWish
from campaign.services.show_costs import CostWish

UNITS = [("piece", "piece"), ("m", "metre"), ("m2", "square metre"), ("minute", "minute")]
BASES = [
    ("piece", "once per work"),
    ("print_area", "per m² of print"),
    ("outer_area", "per m² with border, mat and moulding"),
    ("outer_perimeter", "per metre around the outside"),
    ("minute", "per minute of work"),
]


class PriceForm(ShowForm):
    """One entry of the price book."""

    name = forms.CharField(label="What", max_length=120)
    price_minor = MoneyField(label="Price")
    per_milli = QuantityField(label="For how many", least_milli=1, initial=1000)
    unit = forms.ChoiceField(label="Of which unit", choices=UNITS)
    mass_g_per_unit = WeightField(label="Weight of one unit", required=False, help_text="Of what stays on the wall.")
    priced_on = DayField(label="Price asked on", required=False)
    helper = laid_out(
        "name",
        Div("price_minor", "per_milli", "unit", css_class="row"),
        Div("mass_g_per_unit", "priced_on", css_class="row"),
    )

    @property
    def wish(self) -> PriceWish:
        """What the form asks for."""
        values = self.cleaned_data
        return PriceWish(**(values | {"mass_g_per_unit": values["mass_g_per_unit"] or 0}))


class FinishForm(ShowForm):
    """One finish without its recipe."""

    name = forms.CharField(label="Name", max_length=120)
    worth = CountField(
        label="How good it looks, 0 to 100", most=100,
        help_text="Your own eye. A work's worth in the plan is its need × this × the size's worth.",
    )  # fmt: skip
    border_mm = LengthField(
        label="Border, each side", allow_zero=True, required=False, help_text="Paper left around the print."
    )
    mat_mm = LengthField(label="Mat, each side", allow_zero=True, required=False)
    moulding_mm = LengthField(label="Moulding, each side", allow_zero=True, required=False)
    is_printed_at_home = forms.BooleanField(label="Printed on your own printer", required=False, initial=True)
    helper = laid_out("name", "worth", Div("border_mm", "mat_mm", "moulding_mm", css_class="row"), "is_printed_at_home")


class RecipeRow(RowForm):
    """One cost line of a finish."""

    item_code = ItemField(label="From the price book")
    basis = forms.ChoiceField(label="Measured", choices=BASES)
    quantity_milli = QuantityField(label="How much", least_milli=1, required=False, placeholder="1")
    waste_bp = PercentField(label="Waste", required=False, placeholder="0 %")

    def __init__(self, *args: Any, items: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["item_code"].choices = [("", "…"), *items]  # type: ignore[attr-defined]  # a choice field


RecipeRows = rows_of(RecipeRow)


def finish_wish(form: FinishForm, rows: Any) -> FinishWish:
    """What the two forms ask for."""
    values = form.cleaned_data
    sides = {name: values[name] or 0 for name in ("border_mm", "mat_mm", "moulding_mm")}
    lines = tuple(
        RecipeWish(
            item_code=row["item_code"], basis=row["basis"], quantity_milli=row["quantity_milli"] or 1000,
            waste_bp=row["waste_bp"] or 0,
        )
        for row in rows.kept
    )  # fmt: skip
    return FinishWish(**(values | sides), lines=lines)


class CostRow(RowForm):
    """One cost of the show as a whole."""

    name = forms.CharField(label="What", max_length=120)
    amount_minor = MoneyField(label="Cost")
    note = forms.CharField(label="Note", max_length=300, required=False)


CostRows = rows_of(CostRow)


def cost_wishes(rows: Any) -> list[CostWish]:
    """What the rows ask for."""
    return [CostWish(**row) for row in rows.kept]
