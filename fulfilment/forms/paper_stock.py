"""Forms of the paper there is: a roll, sheets, which prints go on which, and how much is there at the moment."""

import re
import uuid
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from crispy_forms.layout import HTML, Div, Layout
from django import forms

from campaign.forms.fields import CountField, LengthField, MeasureField, MoneyField, PercentField
from campaign.forms.layout import plain_helper
from campaign.forms.show_form import ShowForm, laid_out
from campaign.measures.errors import MeasureError
from campaign.measures.lengths import MM_PER_INCH, format_length
from campaign.measures.numbers import readings, tidy
from fulfilment.services.paper_stock import ChoiceWish, PaperWish

LONGEST_ROLL_MM = 999_999
_MM_PER_UNIT = {"m": Fraction(1000), "cm": Fraction(10), "mm": Fraction(1), "ft": 12 * MM_PER_INCH, "in": MM_PER_INCH}
_UNITS = {"metre": "m", "metres": "m", "meter": "m", "meters": "m", "feet": "ft", "foot": "ft", "inches": "in"} | {
    "'": "ft", "’": "ft", '"': "in", "”": "in",
}  # fmt: skip
_LENGTH = re.compile(r"(?P<number>.*\d[.,]?)\s*(?P<unit>[a-z]+|['’\"”])?\.?", re.IGNORECASE)


class RollLengthField(MeasureField):
    """The length of a roll as whole millimetres: 12 m, 30 ft; a bare number is metres, feet in shows in inches."""

    def read(self, text: str) -> int:
        expected = "a length such as 12 m, 9.5 m or 30 ft"
        match = _LENGTH.fullmatch(text.strip())
        unit = (match["unit"] or self._units[0]).casefold() if match else ""
        mm_per_unit = _MM_PER_UNIT.get(_UNITS.get(unit, unit))
        if match is None or mm_per_unit is None:
            raise MeasureError(text, expected)
        found = {round(number * mm_per_unit) for number in readings(tidy(match["number"]))}
        fitting = [length_mm for length_mm in found if 0 <= length_mm <= LONGEST_ROLL_MM]
        if len(fitting) != 1:
            raise MeasureError(text, f"{expected}, less than 1,000 m")
        return fitting[0]

    def write(self, value: int) -> str:
        large, small = self._units
        written = format_length(value, unit=large)
        # Three decimals could be meant as thousands.
        is_clear = len(written.removesuffix(f" {large}").partition(".")[2]) < 3
        return written if is_clear else format_length(value, unit=small)

    @property
    def _units(self) -> tuple[str, str]:
        return ("ft", "in") if self.show.length_unit == "in" else ("m", "cm")


class PaperForm(ShowForm):
    """What rolls and sheets have in common; `items` are (code, name) of the price book."""

    kind = ""
    name = forms.CharField(label="What it is called", max_length=120, help_text="Such as: Cotton paper 310 g, roll.")
    item_code = forms.ChoiceField(
        label="In the price book it is", required=False,
        help_text="What recipes take: so prints of those finishes are proposed for this paper.",
    )  # fmt: skip
    gap_mm = LengthField(label="Gap between prints", allow_zero=True, required=False, help_text="For the knife.")
    can_turn = forms.BooleanField(
        label="Prints may be turned on it", required=False,
        help_text="Not where its grain or texture is to run one way in all of them.",
    )  # fmt: skip
    price_minor = MoneyField(label="Price")
    spoil_bp = PercentField(label="Kept back for spoiled ones", required=False, help_text="Of the prints on it: 5 %.")
    spare_prints = CountField(label="And so many prints more", most=999, required=False)
    drying_hours = CountField(
        label="Dries for, hours", least=0, most=2_000, required=False, help_text="Empty: as the show has it."
    )

    def __init__(self, *args: Any, items: Sequence[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choice: Any = self.fields["item_code"]
        choice.choices = [("", "not in it"), *items]

    @property
    def wish(self) -> PaperWish:
        """What the form asks for; what is left empty is nothing."""
        values = {name: value for name, value in self.cleaned_data.items() if name != "size"}
        empty = {name: 0 for name, value in values.items() if value is None and name != "drying_hours"}
        return PaperWish(kind=self.kind, **(values | empty))


class RollForm(PaperForm):
    """A roll."""

    kind = "roll"
    width_mm = LengthField(label="Width")
    margin_mm = LengthField(
        label="Kept white at either side", allow_zero=True, required=False, help_text="As your printer needs it."
    )
    lead_mm = LengthField(label="Before the first print", allow_zero=True, required=False)
    tail_mm = LengthField(label="Behind the last print", allow_zero=True, required=False)
    there_mm = RollLengthField(
        label="There now", required=False, help_text="In one piece. A second rest counts once it is on the printer."
    )
    pack_mm = RollLengthField(label="Length of a whole roll")
    helper = laid_out(
        Div("name", "item_code", css_class="row"),
        HTML("<h2>How prints lie on it</h2>"),
        Div("width_mm", "margin_mm", "gap_mm", css_class="row"),
        Div("lead_mm", "tail_mm", css_class="row"),
        "can_turn",
        HTML("<h2>What is there, and what more of it costs</h2>"),
        Div("there_mm", "pack_mm", "price_minor", css_class="row"),
        HTML("<h2>Spoiled ones and drying</h2>"),
        Div("spoil_bp", "spare_prints", "drying_hours", css_class="row"),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["price_minor"].label = "Price of a whole roll"

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or {}
        width, margin = values.get("width_mm"), values.get("margin_mm") or 0
        if width and 2 * margin >= width:
            self.add_error("margin_mm", "That leaves no room for a print between the two sides.")
        pack_mm, ends = values.get("pack_mm"), (values.get("lead_mm") or 0) + (values.get("tail_mm") or 0)
        if pack_mm is not None and pack_mm <= ends:
            self.add_error("pack_mm", "A whole roll must be longer than what stays white at its two ends.")
        return values


class SheetsForm(PaperForm):
    """Sheets of one size."""

    kind = "sheets"
    width_mm = LengthField(label="Width")
    height_mm = LengthField(label="Height")
    margin_mm = LengthField(
        label="Kept white all round", allow_zero=True, required=False, help_text="As your printer needs it."
    )
    there_sheets = CountField(label="Sheets there now", most=99_999, required=False)
    pack_sheets = CountField(label="Sheets in a pack", least=1, most=9_999)
    helper = laid_out(
        Div("name", "item_code", css_class="row"),
        HTML("<h2>How prints lie on it</h2>"),
        Div("width_mm", "height_mm", css_class="row"),
        Div("margin_mm", "gap_mm", css_class="row"),
        "can_turn",
        HTML("<h2>What is there, and what more of it costs</h2>"),
        Div("there_sheets", "pack_sheets", "price_minor", css_class="row"),
        HTML("<h2>Spoiled ones and drying</h2>"),
        Div("spoil_bp", "spare_prints", "drying_hours", css_class="row"),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["price_minor"].label = "Price of a pack"

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or {}
        sides = [side for side in (values.get("width_mm"), values.get("height_mm")) if side]
        if sides and 2 * (values.get("margin_mm") or 0) >= min(sides):
            self.add_error("margin_mm", "That leaves no room for a print on the sheet.")
        return values


class ChoicesForm(ShowForm):
    """Which paper each finish and each edition goes on; `papers` as `queries.paper_stock` reads them."""

    def __init__(self, *args: Any, papers: Any, **kwargs: Any) -> None:
        self.uses = papers.uses
        start = {}
        for at, use in enumerate(self.uses):
            start[f"paper_{at}"] = use.chosen.code if use.chosen else ""
            start[f"border_{at}"] = use.border_mm or None
        super().__init__(*args, **{"initial": start} | kwargs)
        stocks = [(stock.code, stock.name) for stock in papers.stocks]
        rows = []
        for at, use in enumerate(self.uses):
            proposed = f"proposed: {use.proposed.name}" if use.proposed else "choose a paper …"
            self.fields[f"paper_{at}"] = forms.ChoiceField(
                label=f"Prints of “{use.name}” go on", required=False, choices=[("", proposed), *stocks],
                help_text=_help(use),
            )  # fmt: skip
            rows.append(Div(f"paper_{at}", css_class="row"))
            if use.edition is not None:
                border = LengthField(label="White border all round", allow_zero=True, required=False)
                border.show = self.show
                border.help_text = "Outside the print, on every side. Prints for the walls have that of their finish."
                self.fields[f"border_{at}"] = border
                rows[-1] = Div(f"paper_{at}", f"border_{at}", css_class="row")
        self.helper = plain_helper()
        self.helper.layout = Layout(*rows)

    @property
    def wishes(self) -> list[ChoiceWish]:
        """What was chosen."""
        return [
            ChoiceWish(
                finish_code=use.finish.code if use.finish else "",
                edition_code=use.edition.code if use.edition else "",
                paper_code=self.cleaned_data[f"paper_{at}"],
                border_mm=self.cleaned_data.get(f"border_{at}") or 0,
            )
            for at, use in enumerate(self.uses)
        ]


def _help(use: Any) -> str:
    sentences = [f"Proposed because {use.why}."] if use.proposed and use.why else []
    if use.promised:
        sentences.append(f"The edition promises “{use.promised}”: is {use.paper.name} the same?")
    return " ".join(sentences)


class CountForm(ShowForm):
    """How much is there of each paper that prints are going to be laid on."""

    request_key = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, stocks: Sequence[Any], **kwargs: Any) -> None:
        self.stocks = stocks
        start = {f"there_{stock.pk}": stock.there_mm if stock.is_roll else stock.there_sheets for stock in stocks}
        super().__init__(*args, **{"initial": {"request_key": uuid.uuid4(), **start}} | kwargs)
        for stock in stocks:
            field = RollLengthField() if stock.is_roll else CountField(most=99_999)
            field.show = self.show
            field.label = f"{stock.name}, there now"
            field.help_text = "In one piece." if stock.is_roll else "Whole sheets."
            self.fields[f"there_{stock.pk}"] = field
        self.helper = plain_helper()
        self.helper.layout = Layout("request_key", Div(*(f"there_{stock.pk}" for stock in stocks), css_class="row"))

    @property
    def there(self) -> dict[str, int]:
        """Code of a paper -> millimetres or sheets."""
        return {stock.code: self.cleaned_data[f"there_{stock.pk}"] for stock in self.stocks}
