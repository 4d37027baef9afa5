"""What became of a parcel."""

import uuid

from django import forms

from campaign.forms.show_form import laid_out

OUTCOMES = (
    ("delivered", "It was delivered"), ("returned", "It came back"), ("damaged", "It arrived damaged"),
    ("lost", "It is lost"),
)  # fmt: skip


class OutcomeForm(forms.Form):
    """One of four, and a few words."""

    request_key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    kind = forms.ChoiceField(label="What became of it", choices=OUTCOMES, widget=forms.RadioSelect)
    note = forms.CharField(
        label="Note", max_length=300, required=False, help_text="Stays in the history; for you, not for the backer."
    )
    helper = laid_out("request_key", "kind", "note")


class SendAgainForm(forms.Form):
    """Nothing but the key of the act."""

    request_key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
