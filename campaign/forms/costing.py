"""Forms for what the show as a whole costs, and for what is given in kind."""

from typing import Any

from django import forms

from campaign.forms.fields import MoneyField, QuantityField
from campaign.forms.show_form import ItemField, RowForm, rows_of
from campaign.services.gifts import GiftWish
from campaign.services.show_costs import CostWish


class CostRow(RowForm):
    """One cost of the show as a whole."""

    name = forms.CharField(label="What", max_length=120)
    amount_minor = MoneyField(label="Cost")
    note = forms.CharField(label="Note", max_length=300, required=False)


CostRows = rows_of(CostRow)


def cost_wishes(rows: Any) -> list[CostWish]:
    """What the rows ask for."""
    return [CostWish(**row) for row in rows.kept]


class GiftRow(RowForm):
    """One gift in kind."""

    giver = forms.CharField(label="From whom", max_length=120)
    item_code = ItemField(label="What")
    quantity_milli = QuantityField(label="How much", least_milli=1, required=False)
    work_code = ItemField(label="Or for one work", required=False)
    value_minor = MoneyField(label="Worth", required=False)
    thanks = forms.CharField(label="Thanks, as it stands", max_length=200, required=False)

    def __init__(self, *args: Any, items: list[tuple[str, str]], works: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["item_code"].choices = [("", "…"), *items]  # type: ignore[attr-defined]  # a choice field
        self.fields["work_code"].choices = [("", "…"), *works]  # type: ignore[attr-defined]  # a choice field

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        if not self.has_changed() or "quantity_milli" in self.errors:
            return values
        quantity, work = values.get("quantity_milli"), values.get("work_code")
        if not quantity and not work:
            self.add_error("quantity_milli", "Write how much is given, or choose the work that it is given for.")
        elif quantity and work:
            self.add_error("quantity_milli", "A gift for one work gives all that it takes; leave one of the two empty.")
        return values


GiftRows = rows_of(GiftRow)


def gift_wishes(rows: Any) -> list[GiftWish]:
    """What the rows ask for."""
    return [GiftWish(**(row | {"quantity_milli": row["quantity_milli"] or 0})) for row in rows.kept]
