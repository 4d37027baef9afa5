"""The form for an update to the backers."""

from django import forms

from campaign.forms.show_form import laid_out


class UpdateForm(forms.Form):
    """Title and words of an update."""

    title = forms.CharField(label="Title", max_length=140)
    body = forms.CharField(
        label="Words", max_length=20_000, widget=forms.Textarea(attrs={"rows": 14}),
        help_text="Empty line: new paragraph. *slanted*, **strong**, ## heading, - list, [words](https://address).",
    )  # fmt: skip
    helper = laid_out("title", "body")
