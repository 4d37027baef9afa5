"""The Send room's form: which parcels are posted, under which tracking numbers."""

from collections.abc import Sequence
from typing import Any

from django import forms

from fulfilment.packing import tidy_tracking_number, tracking_fault


class ParcelsForm(forms.Form):
    """
    A box and a tracking number for each parcel of a page.

    `cleaned_data["chosen"]` maps the codes of the parcels meant to their numbers: those ticked and those whose number
    was typed or changed.
    """

    def __init__(self, *args: Any, parcels: Sequence[Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.parcels = parcels
        for parcel in parcels:
            name = f"parcel {parcel.number}"
            self.fields[f"tick_{parcel.code}"] = forms.BooleanField(
                required=False, label=f"Choose {name}", widget=forms.CheckboxInput(attrs={"class": "form-check-input"})
            )
            self.fields[f"number_{parcel.code}"] = forms.CharField(
                required=False,
                max_length=60,
                label=f"Tracking number of {name}",
                initial=parcel.tracking_number,
                disabled=parcel.noticed_at is not None,
                widget=forms.TextInput(attrs={"autocomplete": "off", "class": "form-control", "size": "16"}),
            )

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        chosen: dict[str, str] = {}
        for parcel in self.parcels:
            name = f"number_{parcel.code}"
            number = tidy_tracking_number(data.get(name) or "")
            if data.get(f"tick_{parcel.code}") or number != parcel.tracking_number:
                fault = tracking_fault(number)
                if fault:
                    self.add_error(name, fault)
                chosen[parcel.code] = number
        data["chosen"] = chosen
        if not self.errors and not chosen:
            self.add_error(None, "Tick the parcels first, or type the tracking number of one.")
        return data
