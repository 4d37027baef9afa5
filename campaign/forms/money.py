"""Forms for money that came or went: payments, refunds, other money, corrections."""

import uuid
from typing import Any

from crispy_forms.layout import Div
from django import forms

from campaign.forms.fields import DayField, MoneyField
from campaign.forms.layout import plain_helper
from campaign.forms.show_form import ShowForm, laid_out

WAYS = [("transfer", "bank transfer"), ("cheque", "cheque"), ("cash", "cash in hand")]
KINDS = [
    ("own", "own money put in"),
    ("sponsor", "money of a sponsor"),
    ("grant", "a grant"),
    ("cost", "a cost of the campaign, paid out"),
]


class MoneyForm(ShowForm):
    """What every entry by hand has; the hidden key makes a double click one entry."""

    request_key = forms.UUIDField(widget=forms.HiddenInput)
    amount_minor = MoneyField(label="Amount", at_least=1)
    happened_on = DayField(label="Day")

    def __init__(self, *args: Any, today: Any = None, initial: Any = None, **kwargs: Any) -> None:
        self.today = today
        start = {"request_key": uuid.uuid4(), "happened_on": today, **(initial or {})}
        super().__init__(*args, initial=start, **kwargs)

    def clean_happened_on(self) -> Any:
        day = self.cleaned_data["happened_on"]
        if self.today and day > self.today:
            raise forms.ValidationError("That day is still to come; money is booked once it has moved.")
        return day


class PaymentForm(MoneyForm):
    """Money from a backer."""

    fee_minor = MoneyField(label="Fee taken off", required=False, help_text="What the bank kept, if anything.")
    way = forms.ChoiceField(label="How it came", choices=WAYS)
    helper = laid_out(
        "request_key", Div("amount_minor", "fee_minor", css_class="row"), Div("way", "happened_on", css_class="row")
    )

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        amount, fee = values.get("amount_minor"), values.get("fee_minor")
        if amount and fee and fee > amount:
            self.add_error("fee_minor", "The fee cannot be more than the payment.")
        return values


class RefundForm(MoneyForm):
    """Money back to a backer."""

    way = forms.ChoiceField(label="How it went", choices=WAYS)
    helper = laid_out("request_key", Div("amount_minor", "way", "happened_on", css_class="row"))


class OtherMoneyForm(MoneyForm):
    """Money that is no order."""

    kind = forms.ChoiceField(
        label="What it is", choices=KINDS,
        help_text="No cost that is counted already: the ordered prints and their posting, finishes, costs of the show.",
    )  # fmt: skip
    text = forms.CharField(label="In words", max_length=200, help_text="From whom, or what for.")
    helper = laid_out("request_key", "kind", Div("amount_minor", "happened_on", css_class="row"), "text")


class CorrectionForm(forms.Form):
    """Why a line of the cash book was wrong."""

    reason = forms.CharField(label="What was wrong with it", max_length=150)
    is_still_owed = forms.BooleanField(
        label="The money did not arrive: put it on the list of what goes back again", required=False,
        help_text="Leave it empty where the line itself was wrong and nothing had gone.",
    )  # fmt: skip
    helper = plain_helper()

    def __init__(self, *args: Any, is_refund: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not is_refund:
            del self.fields["is_still_owed"]
