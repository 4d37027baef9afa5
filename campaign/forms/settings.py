"""The form for a show's own words, dates and shares."""

from typing import Any

from crispy_forms.layout import HTML, Div
from django import forms

from campaign.forms.fields import (
    CountField,
    DayField,
    LengthField,
    MinutesField,
    MomentField,
    PercentField,
    QuantityField,
    WeightField,
)
from campaign.forms.show_form import ShowForm, laid_out

LEAST_HOURS_MILLI = 250  # with less, a mistyped printer time would be reckoned over thousands of years
UNITS = [("mm", "millimetres"), ("cm", "centimetres"), ("in", "inches")]


class SettingsForm(ShowForm):
    """Everything about a show that is one value."""

    title = forms.CharField(label="Title of the show", max_length=160)
    statement = forms.CharField(
        label="What it is about", max_length=8000, required=False, widget=forms.Textarea(attrs={"rows": 6})
    )
    venue_name = forms.CharField(label="Venue", max_length=160)
    venue_address = forms.CharField(
        label="Its address", max_length=300, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    length_unit = forms.ChoiceField(label="Lengths are shown in", choices=UNITS)
    opens_at = MomentField(label="Orders open")
    closes_at = MomentField(label="Orders close")
    cancel_until_on = DayField(label="Backers may cancel until")
    posting_by_on = DayField(label="Prints are posted by", help_text="Stated when a print is ordered.")
    hold_days = CountField(label="Days to pay", least=1, most=120)
    reminder_days = CountField(label="Days before the end to remind", most=60)
    offer_hours = CountField(
        label="Hours an offer stands", least=1, most=720, help_text="To those who wait for a copy that comes back."
    )
    hang_on = DayField(label="Hanging day")
    opening_at = MomentField(label="Opening")
    last_day_on = DayField(label="Last day")
    min_gap_mm = LengthField(label="Least gap between works", allow_zero=True)
    centre_mm = LengthField(
        label="Centre line of new walls", help_text="145 cm is common in galleries; each wall has its own."
    )
    printer_seconds = MinutesField(label="Printer time before hanging", help_text="Hours and minutes, such as 40:00.")
    printer_seconds_per_m2 = MinutesField(label="Printer time for 1 m²")
    series_share_finish = forms.BooleanField(label="Works of a series that hang share one finish", required=False)
    most_finishes = CountField(
        label="Different finishes in the room, at most",
        least=1,
        most=99,
        required=False,
        help_text="Empty: any number.",
    )
    two_hooks_from_mm = LengthField(label="Two hooks from a width of", allow_zero=True)
    two_hooks_from_g = WeightField(label="Two hooks from a weight of")
    hook_rating_g = WeightField(
        label="What one hook is rated for", help_text="As its maker says, such as 5 kg; 0 where you do not know."
    )
    hook_margin = CountField(
        label="Rating of the hooks over the weight, at least", least=1, most=20, help_text="4 is a careful margin."
    )
    print_hours_milli = QuantityField(label="Printing on a print day, hours", least_milli=1)
    proof_days = CountField(label="Days for proofs", most=365)
    drying_hours = CountField(label="Drying, hours", most=2_000)
    material_days = CountField(label="Working days until materials arrive", most=365)
    payout_days = CountField(
        label="Days until money is paid out", most=365, help_text="By the payment processor, after orders close."
    )
    commission_bp = PercentField(label="Gallery's share of wall sales", most_bp=9_999)
    set_aside_bp = PercentField(
        label="Set aside for tax",
        most_bp=9_999,
        help_text="Of every order from now on. Ask who does your tax how much.",
    )
    contingency_bp = PercentField(label="Kept for the unforeseen", most_bp=9_999, help_text="Of the wall money.")
    helper = laid_out(
        HTML("<h2>Words</h2>"), "title", "statement", Div("venue_name", "length_unit", css_class="row"),
        "venue_address",
        HTML("<h2>Orders</h2>"), Div("opens_at", "closes_at", css_class="row"),
        Div("cancel_until_on", "posting_by_on", css_class="row"),
        Div("hold_days", "reminder_days", "offer_hours", css_class="row"),
        HTML("<h2>The show</h2>"), Div("hang_on", "last_day_on", css_class="row"),
        Div("opening_at", css_class="narrow"),
        Div("min_gap_mm", "centre_mm", css_class="row"),
        Div("printer_seconds", "printer_seconds_per_m2", css_class="row"),
        HTML("<h2>Rules</h2>"), "series_share_finish", Div("most_finishes", css_class="narrow"),
        HTML("<h2>Days</h2>"), Div("print_hours_milli", "proof_days", "drying_hours", css_class="row"),
        Div("material_days", "payout_days", css_class="row"),
        HTML("<h2>Hooks</h2>"), Div("two_hooks_from_mm", "two_hooks_from_g", css_class="row"),
        Div("hook_rating_g", "hook_margin", css_class="row"),
        HTML('<p class="caution">A hook holds its rating only in the wall it is made for. Try one with twice the '
             "weight before you trust the rest; local codes and licensed practice come first.</p>"),
        HTML("<h2>Shares</h2>"), Div("commission_bp", "set_aside_bp", "contingency_bp", css_class="row"),
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        opens_at, closes_at = values.get("opens_at"), values.get("closes_at")
        if opens_at and closes_at and opens_at >= closes_at:
            self.add_error("closes_at", "Orders must close after they open.")
        print_hours_milli = values.get("print_hours_milli")
        if print_hours_milli and print_hours_milli > 24_000:
            self.add_error("print_hours_milli", "A day has 24 hours; write how many of them you print.")
        if print_hours_milli and print_hours_milli < LEAST_HOURS_MILLI:
            self.add_error("print_hours_milli", "Write at least a quarter of an hour; less is no print day.")
        return values


def settings_initial(show: Any) -> dict[str, Any]:
    """The show's values as the form shows them."""
    return {name: getattr(show, name) for name in SettingsForm.base_fields}
