"""Forms of papers made on demand: which parcels, which paper, the studio's sheets of labels, the line on slips."""

import re
from fractions import Fraction
from typing import Any

from crispy_forms.layout import HTML, Div
from django import forms

from campaign.forms.fields import CountField, MeasureField
from campaign.forms.show_form import laid_out
from campaign.measures.errors import MeasureError
from campaign.measures.numbers import parse_decimal
from fulfilment.packing import LABEL_SHEETS, PRESETS, LabelGrid, RangeError, parse_numbers
from fulfilment.queries.paper_choice import ALL, BACK_AGAIN, TO_POST, PaperChoices
from fulfilment.services.chosen_papers import MOST, NOTES, PICKING, SHEETS, SLIPS

MOST_ACROSS, MOST_DOWN, MOST_TENTHS = 12, 40, 4000
PAGE_NAMES = {"A4": "A4", "letter": "Letter"}
PAPERS = {
    SLIPS: "Packing slips",
    **{f"labels-{sheet.code}": f"Labels {sheet.name}" for sheet in LABEL_SHEETS},
    SHEETS: "Labels on sheets",
    PICKING: "Picking list",
    **{kind: f"Customs notes {note}" for kind, note in NOTES.items()},
}


class TenthsField(MeasureField):
    """A length in mm with one decimal at most, as whole tenths; in and cm are understood."""

    def __init__(self, *, least: int = 0, **kwargs: Any) -> None:
        self.least = least
        super().__init__(**kwargs)
        self.widget.attrs["inputmode"] = "decimal"

    def read(self, text: str) -> int:
        match = re.fullmatch(r"(.+?)\s*(mm|cm|in|″|\")?", text.strip())
        number, unit = (match[1], match[2]) if match else (text, None)
        tenths = parse_decimal(number) * {"cm": 100, "in": 254, "″": 254, '"': 254}.get(unit or "", 10)
        if unit in ("in", "″", '"'):
            tenths = Fraction(round(tenths))
        if tenths.denominator != 1:
            raise MeasureError(text, "millimetres with one decimal at most, such as 99.1")
        if not self.least <= tenths <= MOST_TENTHS:
            raise MeasureError(text, f"{self.write(self.least)} to {self.write(MOST_TENTHS)} mm")
        return int(tenths)

    def write(self, value: int) -> str:
        return f"{value / 10:g}"


def _preset_choices() -> list[tuple[str, str]]:
    words = [f"{grid.words} on {PAGE_NAMES[grid.page]}" for grid in PRESETS]
    return [("", "as measured below"), *((str(at), one) for at, one in enumerate(words))]


class LabelSheetForm(forms.Form):
    """One kind of sheet: measures chosen from a list, or one's own."""

    use_required_attribute = False
    preset = forms.ChoiceField(
        label="Columns × rows and size of a label",
        choices=_preset_choices,
        required=False,
        help_text="A size from this list fills in the rest. Measure one of your sheets all the same.",
    )
    page = forms.ChoiceField(label="Page", choices=tuple(PAGE_NAMES.items()))
    columns = CountField(label="Labels across", least=1, most=MOST_ACROSS)
    rows = CountField(label="Labels down", least=1, most=MOST_DOWN)
    width_tenths = TenthsField(label="Width of a label, mm", least=1)
    height_tenths = TenthsField(label="Height of a label, mm", least=1)
    left_tenths = TenthsField(label="Left margin, mm", help_text="From the page’s edge to the first label.")
    top_tenths = TenthsField(label="Top margin, mm")
    gap_x_tenths = TenthsField(label="Gap across, mm", required=False, help_text="Between one label and the next.")
    gap_y_tenths = TenthsField(label="Gap down, mm", required=False)
    helper = laid_out(
        "preset", HTML("<h2>Measured</h2>"), Div("page", "columns", "rows", css_class="row"),
        Div("width_tenths", "height_tenths", css_class="row"), Div("left_tenths", "top_tenths", css_class="row"),
        Div("gap_x_tenths", "gap_y_tenths", css_class="row"),
    )  # fmt: skip

    def full_clean(self) -> None:
        chosen = self.data.get("preset", "") if self.is_bound else ""
        if chosen and chosen in dict(_preset_choices()):
            grid = PRESETS[int(chosen)]
            written = {name: str(getattr(grid, name)) for name in ("page", "columns", "rows")}
            tenths = {name: f"{getattr(grid, name) / 10:g}" for name in self.fields if name.endswith("_tenths")}
            self.data = {"preset": chosen, **written, **tenths}
        super().full_clean()

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or {}
        if not self.errors:
            measures = {name: values[name] or 0 for name in values if name.endswith("_tenths")}
            values["grid"] = LabelGrid(values["page"], values["columns"], values["rows"], **measures)
            fault = values["grid"].fault()
            if fault:
                self.add_error(None, fault)
        return values


class PapersForm(forms.Form):
    """Which parcels, and which paper: the button says that."""

    use_required_attribute = False
    which = forms.ChoiceField(label="Which parcels", widget=forms.RadioSelect, initial=ALL)
    numbers = forms.CharField(
        label="Only these numbers", required=False, max_length=400, help_text="Like 12-40, 55. Empty: all of them.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "class": "form-control"}),
    )  # fmt: skip
    first_place = CountField(
        label="First free place on the first sheet", required=False, initial=1, least=1, most=MOST_ACROSS * MOST_DOWN
    )
    paper = forms.ChoiceField(choices=tuple(PAPERS.items()), required=False, widget=forms.HiddenInput)
    helper = laid_out("which", "numbers")
    sheet_helper = laid_out("first_place")

    def __init__(self, *args: Any, choices: PaperChoices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.choices = choices
        words = {ALL: "all", TO_POST: "not posted", BACK_AGAIN: "came back, damaged or lost"}
        counted = [(which, f"{word} ({choices.counts[which]})") for which, word in words.items()]
        which = self.fields["which"]
        assert isinstance(which, forms.ChoiceField), "declared above"
        which.choices = counted
        if choices.grid:
            self.fields[
                "first_place"
            ].help_text = f"1 to {choices.grid.places}, counted along the rows from the top left."

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or {}
        try:
            values["numbers"] = parse_numbers(
                values.get("numbers") or "", highest=self.choices.highest, of="there are parcels"
            )
        except RangeError as error:
            self.add_error("numbers", str(error))
        self._check_sheet(values)
        values["first_place"] = values.get("first_place") or 1
        return values

    def _check_sheet(self, values: dict[str, Any]) -> None:
        if values.get("paper") != SHEETS:
            self.errors.pop("first_place", None)  # its field is part of another section
        if values.get("paper") != SHEETS or "first_place" in self.errors:
            return
        grid = self.choices.grid
        if grid is None:
            self.add_error(None, "Say first what sheets of labels you have.")
        elif (values.get("first_place") or 1) > grid.places:
            self.add_error("first_place", f"A sheet has {grid.places} labels; write 1 to {grid.places}.")

    def most_fault(self, count: int) -> str:
        """Why so many parcels are not printed at once, empty if they are."""
        most = MOST[self.cleaned_data["paper"]]
        if count == 0:
            return "There is no such parcel with prints in it."
        if count > most:
            return f"That is {count} parcels; at most {most} at once here. Choose some by their numbers, like 1-{most}."
        return ""


class SlipLineForm(forms.Form):
    """A line of the artist's own on each packing slip."""

    words = forms.CharField(
        label="Your line", max_length=200, required=False,
        help_text="Such as: The kettle is on whenever you are in town. Empty: none.",
    )  # fmt: skip
    helper = laid_out("words")
