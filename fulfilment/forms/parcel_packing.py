"""What a parcel travels in and what the scales say; the artist's word on what was refused."""

from typing import Any

from django import forms

from campaign.forms.fields import WeightField
from campaign.forms.show_form import ShowForm, laid_out
from fulfilment.services.parcel_plan import PackingWish


class ParcelPackingForm(ShowForm):
    """A mailer of the list, a weight, and a tick against the rules."""

    mailer_code = forms.ChoiceField(label="It travels in", required=False)
    weighed_g = WeightField(
        label="Weight on the scales", required=False, help_text="Packed and closed. Empty: the sum of its parts."
    )
    anyway = forms.BooleanField(
        label="Packed all the same", required=False,
        help_text="Only where something stands against it that you know better.",
    )  # fmt: skip
    helper = laid_out("mailer_code", "weighed_g", "anyway")

    def __init__(self, *args: Any, packing: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [("", "not said")]
        for mailer in packing.mailers:
            left = packing.left[mailer.pk]
            words = f"{left} left" if left > 0 else "none left"
            mine = mailer.pk == packing.parcel.mailer_id
            choices.append((mailer.code, f"{mailer}, {'as now' if mine else words}"))
        self.fields["mailer_code"].choices = choices  # type: ignore[attr-defined]

    def clean_weighed_g(self) -> int | None:
        weighed_g: int | None = self.cleaned_data["weighed_g"]
        if weighed_g == 0:
            raise forms.ValidationError(
                "A packed parcel weighs something. Write what the scales say, or leave it empty."
            )
        return weighed_g

    @property
    def wish(self) -> PackingWish:
        """What the form asks for."""
        return PackingWish(**self.cleaned_data)


def packing_start(packing: Any) -> dict[str, Any]:
    """What stands in the form at first."""
    parcel = packing.parcel
    return {
        "mailer_code": parcel.mailer.code if parcel.mailer else "",
        "weighed_g": parcel.mass_g if parcel.is_weighed else None,
        "anyway": False,  # said once more for what stands against it now
    }


class RefusedForm(forms.Form):
    """One of the copies for an address that is refused: print and number."""

    copy_name = forms.CharField(widget=forms.HiddenInput, max_length=60)
