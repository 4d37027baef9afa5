"""Forms of the walls: a wall with its rows, what stands in the way on it, and what of it can be drawn already."""

from typing import Any

from crispy_forms.layout import HTML, Div
from django import forms

from campaign.forms.fields import LengthField
from campaign.forms.show_form import RowForm, ShowForm, laid_out, rows_of
from campaign.planning import BlockedArea, WallSpec
from campaign.services.walls import BlockedWish, WallWish

KINDS = [(kind, kind) for kind in ("door", "window", "switch", "radiator", "other")]
LOWEST_MM = 100  # nothing lower is a wall; while “250” is typed it is 2 and 25 cm high for a moment
ROWS = [(1, "one row"), (2, "two rows, one above the other")]


class WallForm(ShowForm):
    """One wall."""

    name = forms.CharField(label="Name", max_length=80, help_text="As you call it, such as “left of the door”.")
    width_mm = LengthField(label="Length along the floor", help_text="Read as people write it: 6.2 m, 620 cm, 20' 4\".")
    height_mm = LengthField(label="Height")
    centre_mm = LengthField(
        label="Height of the centre line",
        help_text="The middle of every work hangs this far above the floor; two rows lie around it.",
    )
    end_margin_mm = LengthField(label="Kept free at both ends", allow_zero=True)
    rows = forms.TypedChoiceField(label="Works hang in", choices=ROWS, coerce=int, initial=1)
    row_height_mm = LengthField(label="Tallest work of a row", required=False, help_text="Frame included.")
    row_gap_mm = LengthField(label="Between the two rows", required=False, allow_zero=True)
    min_gap_mm = LengthField(
        label="Least gap between works here", required=False, allow_zero=True,
        help_text="Empty: as in the whole show.",
    )  # fmt: skip
    material = forms.CharField(label="Made of", max_length=120, required=False)
    load_note = forms.CharField(
        label="What it carries", max_length=300, required=False, help_text="As the house told you, with the name."
    )
    helper = laid_out(
        "name", Div("width_mm", "height_mm", css_class="row"), Div("centre_mm", "end_margin_mm", css_class="row"),
        Div("rows", "min_gap_mm", css_class="row"),
        HTML('<p class="small">For two rows only:</p>'), Div("row_height_mm", "row_gap_mm", css_class="row"),
        Div("material", "load_note", css_class="row"),
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        height, centre, width = values.get("height_mm"), values.get("centre_mm"), values.get("width_mm")
        if height and centre and centre >= height:
            self.add_error("centre_mm", "The centre line must be lower than the wall is high.")
        elif height and centre and values.get("rows") == 2:
            self._check_rows(height_mm=height, centre_mm=centre)
        if width and values.get("end_margin_mm", 0) * 2 >= width:
            self.add_error("end_margin_mm", "Both ends together must leave some wall to hang on.")
        for name in ("row_height_mm", "row_gap_mm"):
            values[name] = values.get(name) or 0
        return values

    def _check_rows(self, *, height_mm: int, centre_mm: int) -> None:
        """Two rows need a height, and lines that lie on the wall."""
        row_mm = self.cleaned_data.get("row_height_mm")
        if not row_mm:
            if "row_height_mm" not in self.errors:
                self.add_error("row_height_mm", "Say how tall the works of a row may be; both rows share it.")
            return
        apart_mm = row_mm + (self.cleaned_data.get("row_gap_mm") or 0)
        if centre_mm + (apart_mm + 1) // 2 >= height_mm or centre_mm - apart_mm // 2 <= 0:
            self.add_error(
                "row_height_mm",
                "Two such rows do not lie on the wall around its centre line; make them lower.",
            )


class BlockedRow(RowForm):
    """One thing in the way."""

    kind = forms.ChoiceField(label="What", choices=KINDS)
    name = forms.CharField(label="Name", max_length=80, required=False)
    x_mm = LengthField(label="From the left end", allow_zero=True)
    y_mm = LengthField(label="From the floor", allow_zero=True)
    width_mm = LengthField(label="Width")
    height_mm = LengthField(label="Height")


BlockedRows = rows_of(BlockedRow)


def blocked_areas_fit(rows: Any, *, wall_width_mm: int, wall_height_mm: int) -> bool:
    """True if every row lies on the wall; a sentence at the row otherwise."""
    fits = True
    for row in rows.forms:
        area = row.cleaned_data
        if not area or area.get("DELETE"):
            continue
        if area["x_mm"] + area["width_mm"] > wall_width_mm:
            row.add_error("width_mm", "It reaches beyond the right end of the wall.")
            fits = False
        if area["y_mm"] + area["height_mm"] > wall_height_mm:
            row.add_error("height_mm", "It reaches above the top of the wall.")
            fits = False
    return fits


def wall_wish(form: WallForm, rows: Any) -> WallWish:
    """What the two forms ask for."""
    return WallWish(**form.cleaned_data, blocked=tuple(BlockedWish(**row) for row in rows.kept))


def wall_as_typed(form: WallForm, rows: Any) -> WallSpec | None:
    """
    As much of the wall as can be read already, for a drawing; None while its length or height cannot.

    What cannot be read is left out: the drawing then shows the wall without it, and the field says why.
    """
    form.is_valid()
    rows.is_valid()
    values = form.cleaned_data
    width_mm, height_mm = values.get("width_mm"), values.get("height_mm")
    if not width_mm or not height_mm or height_mm < LOWEST_MM:
        return None
    centre_mm = values.get("centre_mm") or form.show.centre_mm
    has_two = values.get("rows") == 2 and values.get("row_height_mm") and "row_height_mm" not in form.errors
    return WallSpec(
        code="as-typed",
        name=values.get("name") or "The wall",
        width_mm=width_mm,
        height_mm=height_mm,
        centre_mm=centre_mm if centre_mm < height_mm else height_mm // 2,
        end_margin_mm=values.get("end_margin_mm") or 0,
        blocked=tuple(_area(row.cleaned_data) for row in rows.forms if _is_whole(row)),
        rows=2 if has_two else 1,
        row_height_mm=values["row_height_mm"] if has_two else 0,
        row_gap_mm=values["row_gap_mm"] if has_two else 0,
        min_gap_mm=values.get("min_gap_mm"),
    )


def _is_whole(row: Any) -> bool:
    return row.has_changed() and row.is_valid() and not row.cleaned_data.get("DELETE")


def _area(values: dict[str, Any]) -> BlockedArea:
    return BlockedArea(
        name=values["name"] or values["kind"],
        x_mm=values["x_mm"],
        y_mm=values["y_mm"],
        width_mm=values["width_mm"],
        height_mm=values["height_mm"],
    )
