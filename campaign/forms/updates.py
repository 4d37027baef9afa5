"""The forms for an update: its words and whom it is for, and the moment at which it goes out by itself."""

from collections.abc import Sequence
from typing import Any

from crispy_forms.layout import Div
from django import forms

from campaign.forms.fields import MomentField
from campaign.forms.show_form import ShowForm, laid_out

SEGMENTS = [
    ("all", "everybody who asked for updates"),
    ("unpaid", "of them, orders not paid yet"),
    ("country", "of them, prints to one country"),
    ("waiting", "the waiting list"),
]


class UpdateForm(forms.Form):
    """Title and words of an update, and whom it is for."""

    title = forms.CharField(label="Title", max_length=140)
    body = forms.CharField(
        label="Words", max_length=20_000, widget=forms.Textarea(attrs={"rows": 14}),
        help_text="Empty line: new paragraph. *slanted*, **strong**, ## heading, - list, [words](https://address).",
    )  # fmt: skip
    segment = forms.ChoiceField(label="For", choices=SEGMENTS, required=False)
    country = forms.ChoiceField(label="Country", required=False, help_text="For prints to one country only.")
    is_on_page = forms.BooleanField(
        label="Also on the public page, in its archive and its feed", required=False, initial=True
    )
    helper = laid_out("title", "body", Div("segment", "country", css_class="row"), "is_on_page")

    def __init__(self, *args: Any, countries: Sequence[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["country"]
        field.choices = [("", "–"), *countries]

    def clean_segment(self) -> str:
        """Nothing chosen is everybody."""
        return self.cleaned_data["segment"] or "all"

    def clean(self) -> dict[str, Any]:
        """A country for one country, and for that alone."""
        values = super().clean() or {}
        if values.get("segment") == "country" and not values.get("country") and "country" not in self.errors:
            is_any = len(self.fields["country"].choices) > 1  # type: ignore[attr-defined]  # a ChoiceField
            self.add_error("country", "Choose the country." if is_any else "No print goes anywhere yet.")
        return values


class SendAtForm(ShowForm):
    """The moment at which an update goes out by itself, by the clocks where the show is."""

    send_at = MomentField(label="Day and time", help_text="By the clocks where the show is.")
    helper = laid_out("send_at")
