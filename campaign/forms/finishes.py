"""Forms of one finish: how it looks, what it charges, and its recipe."""

from typing import Any

from crispy_forms.layout import Div
from django import forms

from campaign.forms.fields import CountField, LengthField, MoneyField, PercentField, QuantityField
from campaign.forms.show_form import ItemField, RowForm, ShowForm, laid_out, rows_of
from campaign.services.finishes import FinishWish, RecipeWish

BASES = [
    ("piece", "once per work"),
    ("print_area", "per m² of print"),
    ("ink_area", "per m² of print × ink coverage"),
    ("outer_area", "per m² with border, mat and moulding"),
    ("outer_perimeter", "per metre around the outside"),
    ("print_size", "by print size, from its size table"),
    ("outer_size", "by outer size, from its size table"),
    ("minute", "per minute of work"),
]
BY_SIZE = ("print_size", "outer_size")
MAY_BE_EMPTY = (
    "border_mm", "mat_mm", "moulding_mm", "setup_minor", "least_minor", "lead_days", "depth_mm", "drop_mm",
)  # fmt: skip


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
    setup_minor = MoneyField(label="Set-up", required=False, help_text="Paid once, when anything hangs in this finish.")
    least_minor = MoneyField(
        label="Least charge",
        required=False,
        help_text="What works in it come to at least, without packs. The shelf is not used for them.",
    )
    lead_days = CountField(
        label="Working days from print to finished work", most=365, required=False,
        help_text="A finish that cannot be ready by hanging day is not offered.",
    )  # fmt: skip
    depth_mm = LengthField(label="Stands out from the wall", allow_zero=True, required=False)
    drop_mm = LengthField(label="Top edge down to the hook", allow_zero=True, required=False)
    is_glazed = forms.BooleanField(label="Behind glass or acrylic", required=False)
    helper = laid_out(
        "name", "worth", Div("border_mm", "mat_mm", "moulding_mm", css_class="row"), "is_printed_at_home",
        Div("setup_minor", "least_minor", "lead_days", css_class="row"),
        Div("depth_mm", "drop_mm", css_class="row"), "is_glazed",
    )  # fmt: skip


class RecipeRow(RowForm):
    """One cost line of a finish."""

    item_code = ItemField(label="From the price book")
    basis = forms.ChoiceField(label="Measured", choices=BASES)
    quantity_milli = QuantityField(label="How much", least_milli=1, required=False, placeholder="1")
    waste_bp = PercentField(label="Waste", required=False, placeholder="0 %")

    def __init__(
        self, *args: Any, items: list[tuple[str, str]], units: dict[str, str], tables: set[str], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.units, self.tables = units, tables
        self.fields["item_code"].choices = [("", "…"), *items]  # type: ignore[attr-defined]  # a choice field

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        item, basis = values.get("item_code"), values.get("basis")
        if item and basis in BY_SIZE and item not in self.tables:
            self.add_error(
                "basis", "This entry has no size table; give it one in the price book, or measure it otherwise."
            )
        if item and basis == "ink_area" and self.units.get(item) not in ("ml", "m2"):
            self.add_error(
                "basis", "Ink is priced by the millilitre or square metre; change the unit in the price book."
            )
        return values


RecipeRows = rows_of(RecipeRow)


def finish_wish(form: FinishForm, rows: Any) -> FinishWish:
    """What the two forms ask for."""
    values = form.cleaned_data
    sides = {name: values[name] or 0 for name in MAY_BE_EMPTY}
    lines = tuple(
        RecipeWish(
            item_code=row["item_code"], basis=row["basis"], quantity_milli=row["quantity_milli"] or 1000,
            waste_bp=row["waste_bp"] or 0,
        )
        for row in rows.kept
    )  # fmt: skip
    return FinishWish(**(values | sides), lines=lines)
