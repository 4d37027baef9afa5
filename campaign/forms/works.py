"""Forms of the works: a work with its sizes and picture."""

from typing import Any

from crispy_forms.layout import Div
from django import forms

from campaign.forms.fields import CountField, SizeField
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


class WorkForm(ShowForm):
    """One work; the finishes on offer are the show's."""

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
    helper = laid_out(
        "title", Div("year", "medium", "series", css_class="row"), "need", "finish_codes", "picture", "alt_text"
    )

    def __init__(self, *args: Any, finishes: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["finish_codes"].choices = finishes  # type: ignore[attr-defined]  # a choice field, see above

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
