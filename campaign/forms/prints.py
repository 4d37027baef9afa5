"""Forms for the print that is ordered ahead: the edition, its postage, the expected fee, and prices tried out."""

from dataclasses import replace
from typing import Any

from crispy_forms.layout import HTML, Div
from django import forms
from django.core.exceptions import ValidationError

from campaign.forms.fields import (
    CountField,
    DayField,
    LengthField,
    MeasureField,
    MomentField,
    MoneyField,
    PercentField,
    SizeField,
    WeightField,
)
from campaign.forms.show_form import RowForm, ShowForm, laid_out, rows_of
from campaign.measures.limits import MOST_FIXED_MINOR
from campaign.queries.print_prices import PrintTrial
from campaign.services.editions import EditionWish
from campaign.services.postage import PostageWish
from campaign.services.taxes import TaxWish
from campaign.showfolder.countries import EVERYWHERE, country_list, fold_union
from campaign.showfolder.fields import FieldRefused

MOST_COPIES = 5_000


class EditionForm(ShowForm):
    """One edition; the works it may be a print of are the show's."""

    title = forms.CharField(label="Title of the print", max_length=160)
    work_code = forms.ChoiceField(label="A print of", required=False)
    paper = forms.CharField(label="Paper", max_length=160, required=False)
    print_size = SizeField(label="Size of the print", placeholder="30 × 20 cm")
    description = forms.CharField(
        label="What people should know of it", required=False, max_length=4_000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )  # fmt: skip
    size = CountField(
        label="Copies there will ever be", least=1, most=MOST_COPIES,
        help_text="Once the page is public, an edition can only become smaller.",
    )  # fmt: skip
    price_minor = MoneyField(label="Price of one", at_least=1, help_text="Orders that are placed keep their price.")
    limit_per_person = CountField(label="Most for one person", least=1, most=100, initial=2)
    make_cost_minor = MoneyField(label="Making one costs", help_text="Paper, ink, proofs.")
    pack_cost_minor = MoneyField(label="Packing one costs", help_text="Sleeve, board, tube, tape.")
    mass_g = WeightField(label="Weight, packed", required=False)
    parcel_width_mm = LengthField(label="Parcel, width", allow_zero=True, required=False)
    parcel_height_mm = LengthField(label="Parcel, height", allow_zero=True, required=False)
    parcel_depth_mm = LengthField(label="Parcel, depth", allow_zero=True, required=False)
    proofs = CountField(
        label="Artist’s proofs", most=500, required=False,
        help_text="Numbered apart, outside the copies, never sold here. A tenth of the copies at most is usual.",
    )  # fmt: skip
    sold_from_at = MomentField(
        label="Can be ordered from", required=False, help_text="Empty: as soon as the campaign takes orders."
    )
    sold_until_at = MomentField(
        label="Can be ordered until", required=False, help_text="Empty: as long as the campaign takes orders."
    )
    position = CountField(label="Place on the page", most=999, required=False, help_text="0 stands first.")
    helper = laid_out(
        "title", "work_code", Div("print_size", "paper", css_class="row"), "description",
        HTML("<h2>How many, for how much</h2>"), Div("size", "limit_per_person", "price_minor", css_class="row"),
        Div("make_cost_minor", "pack_cost_minor", css_class="row"), Div("proofs", "position", css_class="row"),
        HTML("<h2>When</h2>"), Div("sold_from_at", "sold_until_at", css_class="row"),
        HTML("<h2>As a parcel</h2>"), Div("mass_g", css_class="narrow"),
        Div("parcel_width_mm", "parcel_height_mm", "parcel_depth_mm", css_class="row"),
    )  # fmt: skip

    def __init__(self, *args: Any, works: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["work_code"].choices = [("", "a picture of its own"), *works]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        start, end = self.cleaned_data.get("sold_from_at"), self.cleaned_data.get("sold_until_at")
        if start and end and end <= start:
            self.add_error("sold_until_at", "That is before the orders for this print begin; write a later moment.")
        return self.cleaned_data

    @property
    def wish(self) -> EditionWish:
        """What the form asks for."""
        values = dict(self.cleaned_data)
        width_mm, height_mm = values.pop("print_size")
        counts = ("mass_g", "proofs", "position", "parcel_width_mm", "parcel_height_mm", "parcel_depth_mm")
        empty = {name: values[name] or 0 for name in counts}
        return EditionWish(**(values | empty), width_mm=width_mm, height_mm=height_mm)


class FeeForm(ShowForm):
    """What a payment processor is expected to keep."""

    fee_bp = PercentField(label="Share of every payment", most_bp=9_999, required=False, placeholder="0 %")
    fee_fixed_minor = MoneyField(
        label="And for each payment", at_most=MOST_FIXED_MINOR, required=False, placeholder="0"
    )  # fmt: skip
    helper = laid_out(Div("fee_bp", "fee_fixed_minor", css_class="row"))

    @property
    def figures(self) -> dict[str, int]:
        """What was typed; nothing counts as none."""
        return {name: value or 0 for name, value in self.cleaned_data.items()}


class PrintTrialForm(ShowForm):
    """Figures tried out without keeping them; an empty field means what is kept."""

    use_required_attribute = False
    price_minor = MoneyField(label="Price of one", at_least=1, required=False)
    make_minor = MoneyField(label="Making one", required=False)
    pack_minor = MoneyField(label="Packing one", required=False)
    abroad_bp = PercentField(label="Buyers abroad", required=False)
    fee_bp = PercentField(label="Processor’s share", most_bp=9_999, required=False)
    fee_fixed_minor = MoneyField(label="And for each payment", required=False)
    costs_minor = MoneyField(label="Costs of the campaign", required=False, help_text="Proofs, cards, a stall.")
    tax_bp = PercentField(
        label="Tax inside the price", required=False, help_text="As a rate; your own share is set aside of the rest."
    )
    last_copies = CountField(label="The last … copies", most=MOST_COPIES, required=False)
    last_price_minor = MoneyField(label="cost instead", required=False)
    helper = laid_out(
        Div("price_minor", "make_minor", "pack_minor", css_class="row"),
        Div("abroad_bp", "fee_bp", "fee_fixed_minor", css_class="row"),
        Div("costs_minor", "tax_bp", css_class="row"), Div("last_copies", "last_price_minor", css_class="row"),
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        if values.get("last_copies") and not values.get("last_price_minor"):
            self.add_error("last_price_minor", "Say what those copies would cost.")
        return values

    def trial(self, stored: PrintTrial) -> PrintTrial:
        """The stored figures with what was typed in their place."""
        return replace(stored, **{name: value for name, value in self.cleaned_data.items() if value is not None})


class CountriesField(MeasureField):
    """Countries by code or English name, EU, or * for everywhere else; the value is a tuple of codes."""

    def read(self, text: str) -> tuple[str, ...]:
        return country_list(text)

    def to_python(self, value: Any) -> Any:
        try:  # nothing typed is a value too: the zone has its countries in another row
            return self.read(str(value or ""))
        except FieldRefused as refusal:
            raise ValidationError(str(refusal)) from refusal

    def write(self, value: tuple[str, ...]) -> str:
        return "everywhere else" if value == (EVERYWHERE,) else ", ".join(value)


class PostageRow(RowForm):
    """One step of a zone."""

    zone = forms.CharField(label="Zone", max_length=60)
    countries = CountriesField(label="Countries", required=False, placeholder="DE or EU or *")
    up_to_copies = CountField(label="Up to copies", least=1, most=1_000, required=False, placeholder="1")
    up_to_g = WeightField(label="or up to a weight", required=False, placeholder="1 kg")
    charge_minor = MoneyField(label="The backer pays")
    cost_minor = MoneyField(label="It costs you", required=False)
    valid_from_on = DayField(label="From the day", required=False)

    def clean(self) -> dict[str, Any]:
        if self.cleaned_data.get("up_to_g") and self.cleaned_data.get("up_to_copies"):
            self.add_error("up_to_g", "A row goes up to a number of copies or up to a weight; empty one of the two.")
        return self.cleaned_data


PostageRows = rows_of(PostageRow)


HOW = {
    "inside": "prices and postage hold it",
    "inside-prints": "prices hold it, postage does not",
    "added": "added to prices and postage",
    "added-prints": "added to prices, not to postage",
}


class TaxRow(RowForm):
    """One tax for some countries."""

    name = forms.CharField(label="What the buyer reads", max_length=60)
    countries = CountriesField(label="Countries", placeholder="DE or EU or *")
    rate_bp = PercentField(label="Rate", most_bp=9_999)
    how = forms.ChoiceField(label="How", choices=list(HOW.items()))
    valid_from_on = DayField(label="From the day", required=False)


TaxRows = rows_of(TaxRow)


def tax_start(kept: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """What stands in the rows at first: "EU" for a row that has every member no other row names."""
    folded = fold_union([row["countries"] for row in kept])
    return [
        {
            "name": row["name"], "countries": codes, "rate_bp": row["rate_bp"], "valid_from_on": row["valid_from_on"],
            "how": ("added" if row["is_added"] else "inside") + ("" if row["covers_postage"] else "-prints"),
        }
        for row, codes in zip(kept, folded, strict=True)
    ]  # fmt: skip


def tax_wishes(rows: Any) -> list[TaxWish]:
    """What the rows ask for."""
    return [
        TaxWish(
            name=row["name"], countries=row["countries"], rate_bp=row["rate_bp"], valid_from_on=row["valid_from_on"],
            is_added=row["how"].startswith("added"), covers_postage=not row["how"].endswith("-prints"),
        )
        for row in rows.kept
    ]  # fmt: skip


def postage_start(kept: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """
    What stands in the rows at first: countries in the first row of a zone only, and "EU" for a zone that has every
    member no other zone names.
    """
    zones = {row["zone"]: row["countries"] for row in kept}
    short = dict(zip(zones, fold_union(list(zones.values())), strict=True))
    return [row | {"countries": short.pop(row["zone"], ())} for row in kept]


def postage_wishes(rows: Any) -> list[PostageWish]:
    """What the rows ask for: one copy and a cost like the charge where nothing else is said."""
    return [
        PostageWish(
            zone=row["zone"], countries=row["countries"],
            up_to_copies=0 if row["up_to_g"] else row["up_to_copies"] or 1,
            up_to_g=row["up_to_g"] or 0, valid_from_on=row["valid_from_on"],
            charge_minor=row["charge_minor"],
            cost_minor=row["charge_minor"] if row["cost_minor"] is None else row["cost_minor"],
        )
        for row in rows.kept
    ]  # fmt: skip
