"""Forms of one work: its words, sizes and picture, and where it must hang."""

from typing import Any

from crispy_forms.layout import HTML, Div
from django import forms

from campaign.forms.fields import CountField, LengthField, MoneyField, SizeField
from campaign.forms.show_form import RowForm, ShowForm, laid_out, rows_of
from campaign.pictures import MAX_BYTES, Picture, PictureRefused, read_picture
from campaign.services.works import SizeWish, WorkWish

NEEDS = [
    (5, "5: the show is not the show without it"),
    (4, "4: wanted very much"),
    (3, "3: wanted"),
    (2, "2: nice to have"),
    (1, "1: fills a gap"),
]


PINNED_ROWS = [(0, "the upper or only row"), (1, "the lower row")]
ANYWHERE = ("", "wherever it fits best")


class WorkForm(ShowForm):
    """One work; the finishes and walls on offer are the show's."""

    title = forms.CharField(label="Title", max_length=160)
    year = forms.CharField(label="Year", max_length=20, required=False)
    medium = forms.CharField(label="Medium", max_length=120, required=False)
    series = forms.CharField(label="Series", max_length=80, required=False)
    need = forms.TypedChoiceField(label="How much the show needs it", choices=NEEDS, coerce=int, initial=3)
    finish_codes = forms.MultipleChoiceField(
        label="Finishes that suit it", required=False, widget=forms.CheckboxSelectMultiple,
        help_text="None ticked means that any finish will do.",
    )  # fmt: skip
    picture = forms.FileField(
        label="Picture",
        required=False,
        help_text="JPEG, PNG or WEBP up to 60 MB. Its place and camera data are dropped.",
    )
    alt_text = forms.CharField(
        label="What the picture shows",
        max_length=300,
        required=False,
        help_text="Read aloud to people who cannot see it.",
    )
    must_hang = forms.BooleanField(
        label="It must hang", required=False, help_text="Until the money and the walls allow it, nothing hangs at all."
    )
    coverage_percent = CountField(
        label="Ink it takes, %", most=400, help_text="Of what is usual: 100 for most, 60 for a pale one."
    )
    net_minor = MoneyField(
        label="To be left of its sale", required=False, help_text="After the gallery’s share; see wall prices."
    )
    pinned_wall_code = forms.ChoiceField(label="On the wall", required=False)
    pinned_middle_mm = LengthField(
        label="Its middle, from the wall’s left end", required=False, help_text="Empty: anywhere on that wall."
    )
    pinned_row = forms.TypedChoiceField(label="In", choices=PINNED_ROWS, coerce=int, required=False, initial=0)
    helper = laid_out(
        "title", "medium", Div("year", "series", css_class="row"), "need", "must_hang", "finish_codes", "picture",
        "alt_text",
        Div("coverage_percent", "net_minor", css_class="row"),
        HTML("<h2>Its place</h2><p>Only if it must hang there: every other place is closed to it.</p>"),
        Div("pinned_wall_code", "pinned_row", css_class="row"), Div("pinned_middle_mm", css_class="narrow"),
    )  # fmt: skip

    def __init__(self, *args: Any, finishes: list[tuple[str, str]], walls: list[Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.walls = {wall.code: wall for wall in walls}
        self.fields["finish_codes"].choices = finishes  # type: ignore[attr-defined]  # a choice field, see above
        choices = [ANYWHERE, *((wall.code, wall.name) for wall in walls)]
        self.fields["pinned_wall_code"].choices = choices  # type: ignore[attr-defined]  # a choice field, see above

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        values["pinned_row"] = values.get("pinned_row") or 0
        wall, middle_mm = self.walls.get(values.get("pinned_wall_code", "")), values.get("pinned_middle_mm")
        if middle_mm is not None and wall is None and "pinned_wall_code" not in self.errors:
            self.add_error("pinned_wall_code", "Choose the wall to which this place belongs.")
        if wall is not None and middle_mm is not None and middle_mm >= wall.width_mm:
            self.add_error("pinned_middle_mm", f"{wall.name} is not that long; measure from its left end.")
        if wall is not None and values.get("pinned_row") == 1 and wall.rows == 1:
            self.add_error("pinned_row", f"{wall.name} has one row only.")
        return values

    def clean_picture(self) -> Picture | None:
        file = self.cleaned_data["picture"]
        if not file:
            return None
        if file.size > MAX_BYTES:
            raise forms.ValidationError("The file has more than 60 MB; save it as a smaller JPEG.")
        try:
            return read_picture(file.read())
        except PictureRefused as refusal:
            raise forms.ValidationError(str(refusal)) from refusal


class SizeRow(RowForm):
    """One print size on offer."""

    size = SizeField(label="Print size", placeholder="60 × 40 cm")
    factor_percent = CountField(label="Worth of this size, %", least=1, most=1000, required=False, placeholder="100")


SizeRows = rows_of(SizeRow)


def sizes_differ(rows: Any) -> bool:
    """True if no size stands there twice and there is at least one; a sentence at the row otherwise."""
    seen: set[tuple[int, int]] = set()
    for row in rows.forms:
        size = row.cleaned_data.get("size")
        if size is None or row.cleaned_data.get("DELETE"):
            continue
        if size in seen:
            row.add_error("size", "This size stands here already.")
            return False
        seen.add(size)
    if not rows.kept:
        rows.forms[0].add_error("size", "Give at least one size, or the work can never hang.")
        return False
    return True


def work_wish(form: WorkForm, rows: Any) -> WorkWish:
    """What the two forms ask for."""
    words = {name: value for name, value in form.cleaned_data.items() if name not in ("picture", "finish_codes")}
    sizes = tuple(
        SizeWish(width_mm=row["size"][0], height_mm=row["size"][1], factor_percent=row["factor_percent"] or 100)
        for row in rows.kept
    )
    return WorkWish(**words, finish_codes=tuple(form.cleaned_data["finish_codes"]), sizes=sizes)
