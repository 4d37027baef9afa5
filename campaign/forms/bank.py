"""Forms of the bank's statements: a file, what its columns mean, what a line is."""

from typing import Any

from crispy_forms.layout import HTML, Div
from django import forms

from campaign.forms.show_form import ShowForm, laid_out
from campaign.statements import MAX_BYTES, CsvSheet, Layout, Meaning, layout_faults

COLUMN_WORDS = {
    Meaning.BOOKED_ON: ("Day of booking", ""),
    Meaning.VALUE_ON: ("Value day", ""),
    Meaning.AMOUNT: ("Amount, with its sign", "Or choose two columns below."),
    Meaning.CAME: ("Money that came", "Where the bank has a column of its own for it."),
    Meaning.LEFT: ("Money that left", ""),
    Meaning.CURRENCY: ("Currency", ""),
    Meaning.NAME: ("Name of the other side", ""),
    Meaning.IBAN: ("Account of the other side", ""),
    Meaning.REFERENCE: ("Reference", "Where it has a column of its own; it is looked for in the text too."),
    Meaning.TEXT: ("Text", "What the payer wrote."),
    Meaning.FEE: ("Charge that was taken off", ""),
}
DAY_ORDERS = [
    ("", "choose …"),
    ("ymd", "year, month, day"),
    ("dmy", "day, month, year"),
    ("mdy", "month, day, year"),
]
KINDS_IN = [("own", "own money put in"), ("sponsor", "money of a sponsor"), ("grant", "a grant")]
KINDS_OUT = [("cost", "a cost of the campaign"), ("fee", "a charge of the bank")]
SURPLUS = [
    ("", "ask the backer first"),
    ("keep", "keep it as a gift: the backer has agreed"),
    ("back", "it goes back"),
]


class StatementForm(ShowForm):
    """One file of the bank."""

    file = forms.FileField(
        label="Statement", help_text="CAMT.053 (XML) or CSV, at most 10 MB. Nothing is booked by reading it in.",
        widget=forms.ClearableFileInput(attrs={"accept": ".xml,.csv,.txt,.c53,text/xml,application/xml,text/csv"}),
        error_messages={
            "required": "Choose the file first.", "empty": "The file is empty.",
            "invalid": "That is no file. Choose one from your device.",
        },
    )  # fmt: skip

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > MAX_BYTES:
            raise forms.ValidationError("The file has more than 10 MB. Ask the bank for a shorter time.")
        return file


class ColumnsForm(ShowForm):
    """What the columns of a CSV file mean; the choices are its headings."""

    name = forms.CharField(label="Keep this as", max_length=80, help_text="Files with these headings are then known.")
    day_order = forms.ChoiceField(
        label="Days are written as", choices=DAY_ORDERS, error_messages={"required": "Say in which order they stand."}
    )

    def __init__(self, *args: Any, sheet: CsvSheet, guess: Layout, **kwargs: Any) -> None:
        self.sheet = sheet
        start = {f"column_{meaning}": heading for meaning, heading in guess.columns.items()}
        super().__init__(*args, initial={"day_order": guess.day_order, "name": "My bank’s CSV", **start}, **kwargs)
        choices = [("", "not in this file"), *((heading, heading) for heading in sheet.headings)]
        for meaning, (label, help_text) in COLUMN_WORDS.items():
            self.fields[f"column_{meaning}"] = forms.ChoiceField(
                label=label, help_text=help_text, choices=choices, required=False
            )
        names = [f"column_{meaning}" for meaning in COLUMN_WORDS]
        self.helper = laid_out(
            Div(names[0], "day_order", css_class="row"), names[1], names[2], Div(names[3], names[4], css_class="row"),
            *names[5:], HTML("<h2>For the next time</h2>"), "name",
        )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        if not self.errors:
            for fault in layout_faults(self.layout):
                self.add_error(None, fault)
        return self.cleaned_data

    @property
    def layout(self) -> Layout:
        """What was chosen."""
        chosen = {meaning: self.cleaned_data.get(f"column_{meaning}", "") for meaning in COLUMN_WORDS}
        columns = {meaning: heading for meaning, heading in chosen.items() if heading}
        return Layout(self.sheet.headings, columns, self.cleaned_data.get("day_order", ""))


class OrderSearchForm(ShowForm):
    """Looking for the order a line is for."""

    words = forms.CharField(
        label="Name, mail, order or reference", max_length=80, required=False,
        help_text="Left empty: orders that lack just this sum.",
    )  # fmt: skip


class ToOrderForm(ShowForm):
    """Book a line to an order."""

    pledge = forms.CharField(max_length=20, widget=forms.HiddenInput)
    surplus = forms.ChoiceField(label="If it is too much", choices=SURPLUS, required=False)
    helper = laid_out("pledge", "surplus")


class OtherLineForm(ShowForm):
    """Book a line that belongs to no order."""

    kind = forms.ChoiceField(label="What it is")
    text = forms.CharField(label="In words", max_length=200, help_text="From whom, or what for.")
    helper = laid_out("kind", "text")

    def __init__(self, *args: Any, came: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].choices = KINDS_IN if came else KINDS_OUT  # type: ignore[attr-defined]  # a ChoiceField


class PassForm(ShowForm):
    """Why a line is not of this campaign."""

    note = forms.CharField(label="Why", max_length=200, required=False)
    helper = laid_out("note")
