"""Forms of endings: the minimum, calling a show off, sums that go back, an export held against the book."""

from typing import Any

from crispy_forms.layout import Div
from django import forms

from campaign.forms.fields import DayField, MoneyField
from campaign.forms.show_form import ShowForm, laid_out
from campaign.references import PaymentDetailError, check_iban

BELOW = [
    ("scale_down", "The show is made smaller: it hangs what the money buys"),
    ("give_back", "The show is called off and all money goes back"),
]
WAYS = [("transfer", "bank transfer"), ("cheque", "cheque"), ("cash", "cash in hand")]


class MinimumForm(ShowForm):
    """The least wall money, and what happens below it."""

    minimum_minor = MoneyField(
        label="Least wall money", at_least=1, required=False, help_text="Empty: there is no minimum."
    )
    below_minimum = forms.ChoiceField(label="If it is missed", choices=BELOW, widget=forms.RadioSelect)
    helper = laid_out("minimum_minor", "below_minimum")


class CallOffForm(forms.Form):
    """Why a show is called off; its title typed again, so that no one does it by a slip."""

    words = forms.CharField(
        label="Why, as your backers will read it", max_length=500, widget=forms.Textarea(attrs={"rows": 3})
    )
    title = forms.CharField(label="The show’s title, typed again", max_length=160, help_text="So that no slip does it.")
    helper = laid_out("words", "title")

    def __init__(self, *args: Any, show: Any, **kwargs: Any) -> None:
        self.show = show
        super().__init__(*args, **kwargs)

    def clean_title(self) -> str:
        typed: str = self.cleaned_data["title"]
        if typed.strip().casefold() != self.show.title.strip().casefold():
            raise forms.ValidationError(f"The title is “{self.show.title}”. Type it as it stands there.")
        return typed


class SentForm(forms.Form):
    """A sum has gone: when, and by which way."""

    happened_on = DayField(label="Day it went")
    way = forms.ChoiceField(label="How it went", choices=WAYS)
    helper = laid_out(Div("happened_on", "way", css_class="row"))

    def __init__(self, *args: Any, today: Any, **kwargs: Any) -> None:
        self.today = today
        super().__init__(*args, **kwargs)

    def clean_happened_on(self) -> Any:
        day = self.cleaned_data["happened_on"]
        if day > self.today:
            raise forms.ValidationError("That day is still to come; money is booked once it has moved.")
        return day


class AllSentForm(SentForm):
    """Several sums sent in one go; each by the way it stands there with."""

    way = None  # type: ignore[assignment]  # Django's way of leaving a field of the parent out
    keys = forms.MultipleChoiceField(label="Which", widget=forms.CheckboxSelectMultiple)
    helper = laid_out("happened_on")

    def __init__(self, *args: Any, keys: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["keys"].choices = [(key, key) for key in keys]  # type: ignore[attr-defined]  # a choice field
        self.fields["keys"].error_messages["required"] = "Tick at least one sum."


class NotGivenForm(forms.Form):
    """Why a sum is not given back after all."""

    reason = forms.CharField(label="Why not", max_length=200, help_text="For your own books; no mail is sent.")
    helper = laid_out("reason")


class AccountForm(forms.Form):
    """The account a backer named."""

    account_holder = forms.CharField(label="In whose name", max_length=70)
    iban = forms.CharField(label="IBAN", max_length=60)
    helper = laid_out("account_holder", "iban")

    def clean_iban(self) -> str:
        try:
            return check_iban(self.cleaned_data["iban"])
        except PaymentDetailError as fault:
            raise forms.ValidationError(str(fault)) from fault


class OweForm(ShowForm):
    """A sum of a pledge that is to go back by the ways it came."""

    request_key = forms.UUIDField(widget=forms.HiddenInput)
    amount_minor = MoneyField(label="Sum to give back", at_least=1)
    reason = forms.CharField(label="Why, as the backer will read it", max_length=150)
    helper = laid_out("request_key", "amount_minor", "reason")


class CompareForm(forms.Form):
    """An exported cash book."""

    file = forms.FileField(
        label="The exported file", help_text="CSV or XLSX, as it was exported. Nothing is written from it."
    )
    helper = laid_out("file")
