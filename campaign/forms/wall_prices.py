"""Forms for what hangs on the wall and may be bought from it: wanted sums, and a price list tried out."""

from dataclasses import replace
from typing import Any

from crispy_forms.layout import Div
from django import forms

from campaign.forms.fields import CountField, MoneyField, PercentField
from campaign.forms.show_form import ShowForm, laid_out
from campaign.measures.limits import MOST_FIXED_MINOR
from campaign.queries.wall_prices import SaleTrial

NET = "net-"
MOST_STEPS = 6


class SaleTrialForm(ShowForm):
    """Figures tried out without keeping them; an empty field means what is kept."""

    use_required_attribute = False
    commission_bp = PercentField(label="The gallery’s share", most_bp=9_999, required=False)
    round_to_minor = MoneyField(label="Prices in steps of", at_least=1, at_most=MOST_FIXED_MINOR, required=False)
    frames_pass_through = forms.BooleanField(label="No share of the frame", required=False)
    steps = CountField(
        label="Prices of an edition", least=1, most=MOST_STEPS, required=False, placeholder="1",
        help_text="Where a work is one of several impressions and later ones cost more.",
    )  # fmt: skip
    raise_bp = PercentField(
        label="Each later one more by", required=False, placeholder="0 %", help_text="Of the first wanted sum."
    )
    helper = laid_out(
        Div("commission_bp", "round_to_minor", css_class="row"), "frames_pass_through",
        Div("steps", "raise_bp", css_class="row"),
    )  # fmt: skip

    def trial(self, stored: SaleTrial) -> SaleTrial:
        """The stored figures with what was typed in their place."""
        return replace(stored, **{name: value for name, value in self.cleaned_data.items() if value is not None})


class WantedForm(ShowForm):
    """What is to be left of each work, one field a work, and how its price is rounded."""

    use_required_attribute = False
    round_to_minor = MoneyField(
        label="Prices in steps of", at_least=1, at_most=MOST_FIXED_MINOR, help_text="5 or 10, for instance."
    )  # fmt: skip
    frames_pass_through = forms.BooleanField(
        label="The gallery takes no share of the frame", required=False, help_text="If your contract says so."
    )

    def __init__(self, *args: Any, works: list[tuple[str, str, int | None]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for code, title, net_minor in works:
            field = MoneyField(label=title, required=False, initial=net_minor)
            field.show = self.show
            self.fields[f"{NET}{code}"] = field
        nets = [f"{NET}{code}" for code, _, _ in works]
        self.helper = laid_out("round_to_minor", "frames_pass_through", Div(*nets, css_class="row"))

    @property
    def nets(self) -> dict[str, int | None]:
        """Wanted sum by work code; None where the field was left empty."""
        return {name[len(NET) :]: value for name, value in self.cleaned_data.items() if name.startswith(NET)}
