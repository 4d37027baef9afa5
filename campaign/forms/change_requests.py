"""What a backer asks the artist to change, and the artist's answer."""

import uuid
from typing import Any

from django import forms

from campaign.forms.guard import GuardedForm
from campaign.forms.layout import plain_helper

LONGEST = 1000
VERDICTS = [("done", "It is done"), ("declined", "It cannot be done")]


class AskForm(GuardedForm):
    """A backer's words; the hidden key makes a double click one request."""

    request_key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    text = forms.CharField(
        label="What should be otherwise", max_length=LONGEST, widget=forms.Textarea({"rows": 4}),
        help_text="For instance a new address, whole, or that you would like to cancel.",
        error_messages={"required": "Write what you would like to be changed."},
    )  # fmt: skip


class AnswerForm(forms.Form):
    """The artist's word; saying no needs a reason, saying yes needs none."""

    state = forms.ChoiceField(
        label="Your answer", choices=VERDICTS, widget=forms.RadioSelect,
        error_messages={"required": "Say whether it is done or cannot be done."},
    )  # fmt: skip
    cancels = forms.BooleanField(
        label="Cancel the order with it", required=False,
        help_text="Its copies are free again, and money that came is owed back.",
    )  # fmt: skip
    answer = forms.CharField(
        label="In your words", max_length=LONGEST, required=False, widget=forms.Textarea({"rows": 4}),
        help_text="The backer reads them in a mail and on the page of the order.",
    )  # fmt: skip
    helper = plain_helper()

    def __init__(self, *args: Any, can_cancel: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not can_cancel:
            del self.fields["cancels"]

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        values.setdefault("cancels", False)
        if values.get("state") == "declined":
            if values["cancels"]:
                self.add_error("cancels", "What cannot be done cancels nothing; clear this, or say that it is done.")
            if not values.get("answer") and "answer" not in self.errors:
                self.add_error("answer", "Say why it cannot be done.")
        return values
