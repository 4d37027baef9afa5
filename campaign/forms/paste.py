"""The text area into which a spreadsheet's rows are pasted."""

from django import forms

from campaign.forms.show_form import ShowForm


class PasteForm(ShowForm):
    """Rows with their headings, as the clipboard of a spreadsheet has them."""

    text = forms.CharField(
        label="The rows, headings first",
        max_length=200_000,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 12, "spellcheck": "false", "autocomplete": "off"}),
        error_messages={
            "required": "Nothing was pasted yet.",
            "max_length": "That is more than 200,000 letters; paste fewer rows at a time.",
        },
    )
