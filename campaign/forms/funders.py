"""Forms of sponsors and grants."""

from typing import Any

from crispy_forms.layout import HTML, Div
from django import forms

from campaign.forms.fields import CountField, DayField, MoneyField
from campaign.forms.money import MoneyForm
from campaign.forms.show_form import ShowForm, laid_out
from campaign.models.codes import new_code
from campaign.services.funders import FunderWish

KINDS = [("sponsor", "a sponsor"), ("grant", "a grant")]
STATES = [
    ("planned", "to be asked"),
    ("asked", "asked"),
    ("promised", "promised"),
    ("declined", "declined"),
    ("closed", "finished"),
]


class FunderForm(ShowForm):
    """A sponsor or grant; the hidden code makes a double click one row."""

    code = forms.CharField(widget=forms.HiddenInput, max_length=16)
    name = forms.CharField(label="Who", max_length=160)
    kind = forms.ChoiceField(label="What it is", choices=KINDS)
    state = forms.ChoiceField(label="How it stands", choices=STATES)
    contact = forms.CharField(label="Person, address, telephone", max_length=200, required=False)
    email = forms.EmailField(
        label="E-mail", required=False, error_messages={"invalid": "An address looks like name@example.org."}
    )
    asked_minor = MoneyField(label="Asked for", required=False, at_least=1)
    promised_minor = MoneyField(label="Promised", required=False, at_least=1)
    restricted_to = forms.CharField(
        label="May be used for", max_length=200, required=False, help_text="As they wrote it; empty: for everything."
    )
    next_step = forms.CharField(label="The next step", max_length=200, required=False)
    due_on = DayField(label="By", required=False, help_text="Stands in the schedule and the calendar.")
    remind_days = CountField(label="Remind me so many days before", least=0, most=60)
    thanks = forms.CharField(
        label="Thanks, as they stand on the page", max_length=200, required=False, help_text="Empty: not named there."
    )
    note = forms.CharField(label="Note", required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 3}))
    helper = laid_out(
        "code", "name", Div("kind", "state", css_class="row"), Div("contact", "email", css_class="row"),
        Div("asked_minor", "promised_minor", css_class="row"), "restricted_to",
        HTML("<h2>What comes next</h2>"), "next_step", Div("due_on", "remind_days", css_class="row"),
        HTML("<h2>Thanks</h2>"), "thanks", "note",
    )  # fmt: skip

    def __init__(self, *args: Any, initial: Any = None, **kwargs: Any) -> None:
        start = {"code": new_code(), "kind": "sponsor", "state": "planned", "remind_days": 7, **(initial or {})}
        super().__init__(*args, initial=start, **kwargs)

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        if (
            values.get("state") == "promised"
            and not values.get("promised_minor")
            and "promised_minor" not in self.errors
        ):
            self.add_error("promised_minor", "Write the sum that was promised, or choose “asked”.")
        return values

    @property
    def wish(self) -> FunderWish:
        """What the form asks for."""
        return FunderWish(**{name: value for name, value in self.cleaned_data.items() if name != "code"})


class FunderMoneyForm(MoneyForm):
    """Money that a sponsor or grant paid."""

    text = forms.CharField(label="What the cash book says", max_length=200, required=False)
    helper = laid_out("request_key", Div("amount_minor", "happened_on", css_class="row"), "text")
