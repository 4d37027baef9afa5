"""Forms of what is only looked at: what if, and two sums side by side; they are sent by GET and store nothing."""

from collections.abc import Sequence
from typing import Any

from crispy_forms.layout import Div
from django import forms

from campaign.forms.fields import CountField, LengthField, MinutesField, MoneyField, PercentField
from campaign.forms.show_form import ShowForm, laid_out

AS_IT_IS = ("", "as it is")


class WhatIfForm(ShowForm):
    """One changed value of each kind; what is left empty stays as it is."""

    item = forms.ChoiceField(label="A price", required=False)
    price_minor = MoneyField(label="would be", required=False)
    wall = forms.ChoiceField(label="A wall", required=False)
    wall_width_mm = LengthField(label="would be this long", required=False)
    finish = forms.ChoiceField(label="A finish", required=False)
    finish_worth = CountField(label="would be worth", most=100, required=False, help_text="0 to 100.")
    money_minor = MoneyField(label="The wall money would be", required=False)
    printer_seconds = MinutesField(
        label="The printer would have", required=False, help_text="All print days together, such as 60 h."
    )
    commission_bp = PercentField(label="The gallery's share would be", most_bp=9_900, required=False)
    helper = laid_out(
        Div("item", "price_minor", css_class="row"),
        Div("wall", "wall_width_mm", css_class="row"),
        Div("finish", "finish_worth", css_class="row"),
        Div("money_minor", "printer_seconds", "commission_bp", css_class="row"),
    )

    def __init__(self, *args: Any, offered: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, rows in (("item", offered.items), ("wall", offered.walls), ("finish", offered.finishes)):
            self.fields[name].choices = self._choices(rows, name=name)  # type: ignore[attr-defined]  # a ChoiceField

    def _choices(self, rows: Sequence[tuple[str, str, int]], *, name: str) -> list[tuple[str, str]]:
        """Each with its value now, as it would be typed."""
        field: Any = self.fields[{"item": "price_minor", "wall": "wall_width_mm", "finish": "finish_worth"}[name]]
        return [AS_IT_IS, *((code, f"{label}, now {field.write(value)}") for code, label, value in rows)]

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        for chosen, value in (("item", "price_minor"), ("wall", "wall_width_mm"), ("finish", "finish_worth")):
            if values.get(chosen) and values.get(value) is None and value not in self.errors:
                self.add_error(value, "Say what it would be.")
            if values.get(value) is not None and not values.get(chosen) and chosen not in self.errors:
                self.add_error(chosen, "Say which one it would be.")
        return values


class CompareForm(ShowForm):
    """Two sums of wall money."""

    before_minor = MoneyField(label="The show for")
    after_minor = MoneyField(label="beside the show for")
    helper = laid_out(Div("before_minor", "after_minor", css_class="row"))
