"""Tracking numbers as a file, or pasted."""

from typing import Any

from django import forms

from campaign.forms.show_form import laid_out

MOST_BYTES = 2_000_000


class TrackingForm(forms.Form):
    """A file or a text; the decision sends the text of the preview again."""

    file = forms.FileField(
        label="A file", required=False, help_text="CSV or XLSX; its first row has Code or Parcel, and Tracking number."
    )
    text = forms.CharField(
        label="Or the rows, pasted with their headings",
        required=False,
        max_length=MOST_BYTES,
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false"}),
    )
    helper = laid_out("file", "text")

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        file = data.get("file")
        if file and file.size > MOST_BYTES:
            self.add_error("file", "The file is larger than 2 MB; a table of parcels has far less.")
        elif not file and not data.get("text", "").strip():
            self.add_error("file", "Choose a file, or paste the rows.")
        data["data"] = file.read() if file and not self.errors else data.get("text", "").replace("\t", ",").encode()
        return data
