"""What somebody fills in to wait for copies that come back."""

from typing import Any

from django import forms

from campaign.forms.addresses import NAME_LENGTH
from campaign.forms.guard import GuardedForm
from campaign.measures.words import count_of


class WaitingForm(GuardedForm):
    """A place in the line: who, where to write to, and how many copies, up to what one person may have."""

    name = forms.CharField(
        label="Name", max_length=NAME_LENGTH, widget=forms.TextInput({"autocomplete": "name"}),
        error_messages={"required": "A name is needed, so that the mail can greet you."},
    )  # fmt: skip
    email = forms.EmailField(
        label="E-mail", widget=forms.EmailInput({"autocomplete": "email"}),
        help_text="A copy that comes back is offered to you there.",
        error_messages={
            "required": "An e-mail address is needed: a copy that comes back is offered to you there.",
            "invalid": "This is not an e-mail address; it looks like anna@example.org.",
        },
    )  # fmt: skip
    copies = forms.TypedChoiceField(
        label="Copies", coerce=int, initial=1,
        error_messages={
            "required": "Choose how many copies.",
            "invalid_choice": "One person may not have that many; choose one of these.",
        },
    )  # fmt: skip

    def __init__(self, *args: Any, most: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        copies: Any = self.fields["copies"]
        copies.choices = [(n, count_of(n, "copy", plural="copies")) for n in range(1, most + 1)]
        copies.widget = forms.RadioSelect(choices=copies.choices) if most <= 3 else forms.Select(choices=copies.choices)
