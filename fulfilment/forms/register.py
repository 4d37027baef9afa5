"""Forms of certificates: what they say, and for which copies."""

from typing import Any

from crispy_forms.layout import HTML, Div
from django import forms

from campaign.forms.show_form import laid_out
from fulfilment.models import EditionFacts
from fulfilment.packing import RangeError, parse_numbers

LEAST_YEAR, MOST_YEAR, MOST_COUNT = 1400, 2200, 9999
EMPTY = "Empty: not known, and the certificate says so."


def _count(label: str) -> forms.IntegerField:
    return forms.IntegerField(label=label, min_value=0, max_value=MOST_COUNT, required=False)


class FactsForm(forms.Form):
    """What is known of an edition; every field may stay empty."""

    year_printed = forms.IntegerField(
        label="Year printed", min_value=LEAST_YEAR, max_value=MOST_YEAR, required=False, help_text=EMPTY
    )
    process = forms.CharField(
        label="Medium and process",
        max_length=160,
        required=False,
        help_text="A photograph names its material. Empty: as the work has it.",
    )
    signing = forms.CharField(
        label="Signed, by whom and how",
        max_length=160,
        required=False,
        help_text="Such as: signed and numbered in pencil by the artist.",
    )
    is_reproduction = forms.ChoiceField(
        label="A reproduction of a work in another medium?", choices=EditionFacts.Known.choices, required=False
    )
    original_medium = forms.CharField(label="If so, of which medium", max_length=120, required=False)
    master_by = forms.CharField(
        label="Who made the master", max_length=160, required=False, help_text="A file counts as a master too."
    )
    printed_by = forms.CharField(label="Who prints", max_length=160, required=False)
    is_approved = forms.ChoiceField(label="Approved by the artist?", choices=EditionFacts.Known.choices, required=False)
    is_posthumous = forms.ChoiceField(
        label="Printed after the artist’s death?", choices=EditionFacts.Known.choices, required=False
    )
    unnumbered = _count("Unnumbered copies")
    hors_commerce = _count("Hors commerce (H.C.)")
    bon_a_tirer = _count("Bon à tirer (B.A.T.)")
    printers_proofs = _count("Printer’s proofs (P.P.)")
    trial_proofs = _count("Trial proofs (T.P.)")
    cancellation_proofs = _count("Cancellation proofs (C.P.)")
    master_after = forms.ChoiceField(label="The master afterwards", choices=EditionFacts.Master.choices, required=False)
    other_editions = forms.CharField(
        label="Other editions from the same master",
        max_length=240,
        required=False,
        help_text="Earlier or planned, and how large each is; or: none.",
    )
    text = forms.CharField(
        label="Your own words", max_length=600, required=False, widget=forms.Textarea(attrs={"rows": 4})
    )
    helper = laid_out(
        Div("year_printed", "process", css_class="row"), "signing",
        Div("is_reproduction", "original_medium", css_class="row"), Div("master_by", "printed_by", css_class="row"),
        Div("is_approved", "is_posthumous", css_class="row"),
        HTML("<h2>Outside the numbered copies</h2>"),
        Div("unnumbered", "hors_commerce", "bon_a_tirer", css_class="row"),
        Div("printers_proofs", "trial_proofs", "cancellation_proofs", css_class="row"),
        HTML("<h2>The master</h2>"), "master_after", "other_editions", HTML("<h2>Your own words</h2>"), "text",
    )  # fmt: skip


class CertificatesForm(forms.Form):
    """Copies of one edition by their numbers; `chosen` is empty for all."""

    numbers = forms.CharField(
        label="Numbers",
        required=False,
        max_length=400,
        help_text="Like 1-12, 15. Empty: every copy that is spoken for.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "class": "form-control"}),
    )
    helper = laid_out("numbers")

    def __init__(self, *args: Any, edition: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.edition = edition

    def clean_numbers(self) -> tuple[int, ...]:
        try:
            return parse_numbers(self.cleaned_data["numbers"], highest=self.edition.size)
        except RangeError as error:
            raise forms.ValidationError(str(error)) from error
