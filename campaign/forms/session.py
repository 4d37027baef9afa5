"""The artist's way in."""

from typing import Any

from django.contrib.auth.forms import AuthenticationForm

from campaign.forms.layout import plain_helper


class SignInForm(AuthenticationForm):
    """Name and password, with our words."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = plain_helper()
        self.error_messages = {
            "invalid_login": "Name and password do not belong together. Capital letters count in both.",
            "inactive": "This account is switched off.",
        }
