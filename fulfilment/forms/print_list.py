"""The form of the print list: which prints for the walls, and why they are spoiled."""

import uuid
from collections.abc import Collection
from typing import Any

from django import forms


class WallPrintsForm(forms.Form):
    """Prints for the walls by ticked boxes; `keys` are those of the list as it is now."""

    ticked = forms.MultipleChoiceField(
        error_messages={
            "required": "Tick the prints first.",
            "invalid_choice": "One of these is not in the print list any more; tick them again.",
        }
    )
    note = forms.CharField(
        label="Why spoiled",
        required=False,
        max_length=200,
        help_text="Such as: banding, dent. It stays for good, so name nobody.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "class": "form-control"}),
    )
    request_key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, keys: Collection[str], **kwargs: Any) -> None:
        super().__init__(*args, **{"initial": {"request_key": uuid.uuid4()}} | kwargs)
        ticked: Any = self.fields["ticked"]
        ticked.choices = [(key, key) for key in keys]
