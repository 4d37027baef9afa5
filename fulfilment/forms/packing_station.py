"""The packing station's one field, and what its script sends."""

import uuid
from typing import Any

from django import forms

A_DAY_S = 86_400


class KeysField(forms.CharField):
    """Keys of copies with spaces between."""

    widget = forms.HiddenInput

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, max_length=20_000, **kwargs)

    def to_python(self, value: Any) -> Any:
        return tuple((super().to_python(value) or "").split())

    def prepare_value(self, value: Any) -> Any:
        return " ".join(value) if isinstance(value, tuple) else value

    def run_validators(self, value: Any) -> None:
        super().run_validators(" ".join(value))


class ScanForm(forms.Form):
    """A scan, and without a script also what was scanned before it."""

    parcel = forms.CharField(required=False, max_length=16, widget=forms.HiddenInput)
    confirmed = KeysField()
    request_key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    scan = forms.CharField(
        label="The slip’s bar code",
        max_length=60,
        widget=forms.TextInput(
            attrs={
                "autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false", "autofocus": True,
                "class": "form-control", "enterkeyhint": "go",
            }
        ),
        error_messages={"required": "Scan or type a code."},
    )  # fmt: skip

    def read(self) -> dict[str, Any]:
        """The parcel in hand, what of it is confirmed, and the scan; as far as they are sound."""
        data = self.cleaned_data
        return {
            "code": data.get("parcel", ""),
            "confirmed": data.get("confirmed", ()),
            "scan": data.get("scan", ""),
        }


class PackForm(forms.Form):
    """A packed parcel as the script sends it, a while later if the connection was down."""

    parcel = forms.CharField(max_length=16)
    confirmed = KeysField()
    request_key = forms.UUIDField()
    seconds_ago = forms.IntegerField(min_value=0, max_value=A_DAY_S, required=False)


class OpenForm(forms.Form):
    """A packed parcel that is opened again."""

    parcel = forms.CharField(max_length=16)
