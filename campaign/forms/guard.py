"""What tells a person from a program without a puzzle: a field nobody sees, and a form that took time to fill in."""

from datetime import timedelta
from typing import Any

from django import forms
from django.core import signing

from campaign.forms.layout import plain_helper

SALT = "form.opened.v1"
LEAST = timedelta(seconds=2)


def stamp() -> str:
    """The moment, signed: goes into a form when it is first shown."""
    return signing.TimestampSigner(salt=SALT).sign("open")


class GuardedForm(forms.Form):
    """A public form that refuses what no person types."""

    opened = forms.CharField(widget=forms.HiddenInput, initial=stamp, required=False)
    website = forms.CharField(label="Leave this field empty", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = plain_helper()
        self.fields["website"].widget.attrs |= {"autocomplete": "off", "tabindex": "-1"}

    def check_person(self) -> None:
        """Refuse a filled trap and a form sent within two seconds. Adds an error to the form as a whole."""
        if self.cleaned_data.get("website"):
            self.add_error(None, "One field must stay empty, and was filled in. Clear it and send again.")
        elif not _took_time(self.cleaned_data.get("opened", "")):
            self.add_error(None, "This came faster than anybody types, so nothing was recorded. Send it again, please.")


def _took_time(opened: str) -> bool:
    signer = signing.TimestampSigner(salt=SALT)
    try:
        signer.unsign(opened)
    except signing.BadSignature:
        return False
    try:
        signer.unsign(opened, max_age=LEAST)
    except signing.SignatureExpired:
        return True
    return False
