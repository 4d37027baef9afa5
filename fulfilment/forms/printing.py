"""The Print room's form: which copies."""

import uuid
from typing import Any

from django import forms

from fulfilment.packing import RangeError, parse_numbers


class CopiesForm(forms.Form):
    """
    Copies of one edition, or its artist's proofs, by ticked boxes and by numbers written out.

    `cleaned_data["chosen"]` has both, rising.
    """

    ticked = forms.TypedMultipleChoiceField(coerce=int, required=False)
    numbers = forms.CharField(
        label="Numbers",
        required=False,
        max_length=400,
        help_text="Instead of ticking: 1-12, 15",
        widget=forms.TextInput(attrs={"autocomplete": "off", "class": "form-control"}),
    )

    note = forms.CharField(
        label="Why spoiled",
        required=False,
        max_length=200,
        help_text="Such as: banding, dent. It stays in the register for good, so name nobody.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "class": "form-control"}),
    )
    request_key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, edition: Any, of_proofs: bool = False, **kwargs: Any) -> None:
        own: dict[str, Any] = {"prefix": f"{edition.code}-proofs" if of_proofs else edition.code}
        own["initial"] = {"request_key": uuid.uuid4()}
        super().__init__(*args, **own | kwargs)
        self.edition, self.highest = edition, edition.proofs if of_proofs else edition.size
        # All numbers of the edition: a copy that was freed since the page was loaded is the service's to refuse.
        ticked: Any = self.fields["ticked"]
        ticked.choices = [(number, str(number)) for number in range(1, self.highest + 1)]

    @property
    def hand_fields(self) -> list[Any]:
        """What is typed, as a page lays it out beside the boxes."""
        return [self["numbers"], self["note"]]

    def clean_numbers(self) -> tuple[int, ...]:
        try:
            return parse_numbers(self.cleaned_data["numbers"], highest=self.highest)
        except RangeError as error:
            raise forms.ValidationError(str(error)) from error

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        data["chosen"] = sorted({*data.get("ticked", ()), *data.get("numbers", ())})
        if not self.errors and not data["chosen"]:
            self.add_error("numbers", "Tick the copies or write their numbers, like 1-12, 15.")
        return data
