"""The way into the studio, and its second factor."""

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django_otp import user_has_device

from campaign.forms.layout import plain_helper
from campaign.services.accounts import device_for

CODE = {"autocomplete": "one-time-code", "inputmode": "text", "maxlength": "16"}


class SignInForm(AuthenticationForm):
    """Name and password, and a code where the account has a second factor; with our words."""

    code = forms.CharField(
        label="Code", required=False, max_length=16, widget=forms.TextInput(CODE),
        help_text="Only if you have set up a second factor: the newest code of your telephone, or a spare one.",
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = plain_helper()
        self.error_messages = {
            "invalid_login": "Name and password do not belong together. Capital letters count in both.",
            "inactive": "This account is switched off.",
        }

    def clean(self) -> dict[str, Any]:
        super().clean()
        user: Any = self.get_user()
        if user is not None and user_has_device(user):
            code = self.cleaned_data.get("code", "")
            user.otp_device = device_for(user, code=code)
            if user.otp_device is None:
                self.add_error(
                    "code",
                    "The newest code is needed here."
                    if not code
                    else "This code does not fit; after a wrong one wait a few seconds.",
                )
        return self.cleaned_data


class CodeForm(forms.Form):
    """One code of a second factor."""

    code = forms.CharField(
        label="Code", max_length=16, widget=forms.TextInput(CODE),
        error_messages={"required": "Type the code that the program shows."},
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = plain_helper()
