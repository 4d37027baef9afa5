"""Forms about the installation: who the studio is, and a new show."""

import re
from datetime import datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from crispy_forms.layout import HTML, Div
from django import forms

from campaign.addresses import country_choices
from campaign.forms.fields import DayField, LongSelect, MinutesField
from campaign.forms.settings import UNITS
from campaign.forms.show_form import laid_out
from campaign.measures.errors import MeasureError
from campaign.measures.money import currency_digits
from campaign.queries.cards import are_cards_set_up
from campaign.references import PaymentDetailError, check_iban
from campaign.services.new_show import NewShowWish
from campaign.showfolder.fields import FieldRefused
from campaign.showfolder.settings_columns import find_time_zone

USUAL_PRINTER_SECONDS = 40 * 3600  # ten print days of four hours


class StudioForm(forms.Form):
    """The studio's one row."""

    artist_name = forms.CharField(label="Artist", max_length=120, help_text="As it stands on the public page.")
    email = forms.EmailField(label="E-mail address", help_text="Backers’ answers come here.")
    contact_name = forms.CharField(label="Who answers", max_length=120, required=False)
    address = forms.CharField(
        label="Sender on parcels", required=False, max_length=600, widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Name and address, a line each, as the post wants it.",
    )  # fmt: skip
    iban = forms.CharField(label="Account (IBAN)", max_length=60, required=False)
    bic = forms.CharField(label="BIC", max_length=20, required=False, help_text="Banks abroad ask for it.")
    account_holder = forms.CharField(label="Account holder", max_length=70, required=False)
    cheque_payee = forms.CharField(label="Cheques are made out to", max_length=120, required=False)
    cash_note = forms.CharField(
        label="Where and when cash can be brought", max_length=300, required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )  # fmt: skip
    takes_cards = forms.BooleanField(
        label="Take cards", required=False,
        help_text="Backers pay on the card processor’s page; its fee comes off, and the rest is paid out days later.",
    )  # fmt: skip
    helper = laid_out(
        "artist_name", Div("email", "contact_name", css_class="row"), "address",
        HTML("<h2>Ways of paying</h2><p>A way is offered once its field is filled in.</p>"),
        Div("iban", "bic", css_class="row"), "account_holder", "cheque_payee", "cash_note",
        "takes_cards",
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not are_cards_set_up():
            self.fields["takes_cards"].disabled = True
            self.fields["takes_cards"].help_text = "Only where the installation has the keys of a card processor."

    def clean_iban(self) -> str:
        typed: str = self.cleaned_data["iban"]
        if not typed:
            return ""
        try:
            return check_iban(typed)
        except PaymentDetailError as fault:
            raise forms.ValidationError(str(fault)) from fault

    def clean_bic(self) -> str:
        compact = re.sub(r"\s", "", self.cleaned_data["bic"]).upper()
        if compact and not re.fullmatch(r"[A-Z]{6}[A-Z0-9]{2}(?:[A-Z0-9]{3})?", compact):
            raise forms.ValidationError("A BIC has 8 or 11 letters and digits; copy it from a bank statement.")
        return compact

    def clean_address(self) -> str:
        lines = (line.strip() for line in self.cleaned_data["address"].splitlines())
        return "\n".join(line for line in lines if line)


class NewShowForm(forms.Form):
    """What a show must say before anything else can be said of it."""

    title = forms.CharField(label="Title of the show", max_length=160)
    venue_name = forms.CharField(label="Venue", max_length=160)
    venue_address = forms.CharField(
        label="Its address", max_length=300, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    country = forms.ChoiceField(label="Country you post from", widget=LongSelect)
    time_zone = forms.CharField(label="Time zone", max_length=60, help_text="Region and city, such as Europe/Berlin.")
    currency = forms.CharField(label="Currency", max_length=3, help_text="Three letters, such as EUR.")
    length_unit = forms.ChoiceField(label="Lengths are shown in", choices=UNITS)
    opens_on = DayField(label="First day of orders")
    closes_on = DayField(label="Last day of orders")
    hang_on = DayField(label="Hanging day")
    opening_on = DayField(label="Opening")
    opening_time = forms.TimeField(label="Opening, time of day", widget=forms.TimeInput(attrs={"type": "time"}))
    last_day_on = DayField(label="Last day of the show")
    posting_by_on = DayField(label="Prints are posted by")
    printer_seconds = MinutesField(
        label="Printer time before hanging", initial=USUAL_PRINTER_SECONDS,
        help_text="All hours that your printer can run until then, such as 40:00, or 0 where everything is printed "
        "elsewhere. Works printed at home hang only within it.",
    )  # fmt: skip
    helper = laid_out(
        "title", "venue_name", "venue_address",
        Div("country", "time_zone", css_class="row"), Div("currency", "length_unit", css_class="row"),
        HTML("<h2>Orders</h2>"), Div("opens_on", "closes_on", "posting_by_on", css_class="row"),
        HTML("<h2>The show</h2>"), Div("hang_on", "last_day_on", css_class="row"),
        Div("opening_on", "opening_time", css_class="row"),
        "printer_seconds",
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["country"].choices = [("", "…"), *country_choices()]  # type: ignore[attr-defined]

    def clean_time_zone(self) -> str:
        try:
            return find_time_zone(self.cleaned_data["time_zone"])
        except FieldRefused as refusal:
            raise forms.ValidationError(str(refusal)) from refusal

    def clean_currency(self) -> str:
        code = self.cleaned_data["currency"].upper()
        try:
            currency_digits(code)
        except MeasureError as error:
            raise forms.ValidationError(str(error)) from error
        return str(code)

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        opens, closes = values.get("opens_on"), values.get("closes_on")
        if opens and closes and closes < opens:
            self.add_error("closes_on", "Orders must close after they open.")
        return values

    @property
    def wish(self) -> NewShowWish:
        """What the form asks for; orders open and close with the day, and can be cancelled until its end."""
        values = dict(self.cleaned_data)
        zone = ZoneInfo(values["time_zone"])
        opens_on, closes_on, opening_on = (values.pop(name) for name in ("opens_on", "closes_on", "opening_on"))
        return NewShowWish(
            **{name: value for name, value in values.items() if name != "opening_time"},
            opens_at=datetime.combine(opens_on, time(0, 0), zone),
            closes_at=datetime.combine(closes_on, time(23, 59), zone),
            opening_at=datetime.combine(opening_on, values["opening_time"], zone),
            cancel_until_on=closes_on,
        )
