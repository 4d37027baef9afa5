"""The form for a link with a tag."""

from django import forms

from campaign.forms.show_form import laid_out


class SourceForm(forms.Form):
    """Where the link will stand."""

    name = forms.CharField(
        label="Where it will stand", max_length=80, help_text="Letter to friends, poster in the bakery, …",
        error_messages={"required": "Say where the link will stand, so that you know it again."},
    )  # fmt: skip
    helper = laid_out("name")
