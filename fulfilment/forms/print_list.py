"""Forms of marks: which prints for the walls, a whole sheet, and why they are spoiled."""

import uuid
from collections.abc import Collection
from typing import Any

from django import forms


def why_spoiled() -> forms.CharField:
    """The field for the reason; what is spoiled stays told."""
    return forms.CharField(
        label="Why spoiled",
        required=False,
        max_length=200,
        help_text="Such as: banding, dent. It stays for good, so name nobody.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "class": "form-control"}),
    )


class SheetForm(forms.Form):
    """A whole sheet is spoiled: why, and a key that makes a double click one act."""

    note = why_spoiled()
    request_key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"initial": {"request_key": uuid.uuid4()}} | kwargs)


class WallPrintsForm(forms.Form):
    """Prints for the walls by ticked boxes; `keys` are those of the list as it is now."""

    ticked = forms.MultipleChoiceField(
        label="Prints",
        error_messages={
            "required": "Tick the prints first.",
            "invalid_choice": "One of these is not in the print list any more; tick them again.",
        },
    )
    note = why_spoiled()
    request_key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, keys: Collection[str], **kwargs: Any) -> None:
        super().__init__(*args, **{"initial": {"request_key": uuid.uuid4()}} | kwargs)
        ticked: Any = self.fields["ticked"]
        ticked.choices = [(key, key) for key in keys]
