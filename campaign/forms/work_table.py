"""Forms of all works at once, of a work's own worths, and of its ties to other works."""

from collections.abc import Sequence
from typing import Any

from django import forms

from campaign.forms.fields import CountField
from campaign.forms.show_form import ShowForm
from campaign.services.work_table import WorkRow

NEEDS = [(need, str(need)) for need in range(5, 0, -1)]
KINDS = [("apart", "must not hang side by side with"), ("together", "must hang on the same wall as")]


class TableRow(forms.Form):
    """One work in the table; its labels name it, because the columns' headings are far away for a screen reader."""

    code = forms.CharField(widget=forms.HiddenInput)
    need = forms.TypedChoiceField(choices=NEEDS, coerce=int)
    must_hang = forms.BooleanField(required=False)
    series = forms.CharField(max_length=80, required=False)

    use_required_attribute = False

    def __init__(self, *args: Any, titles: dict[str, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.title = titles.get(str(self["code"].value()), "a work that is gone")
        for name, what in (("need", "Need of"), ("must_hang", "Must hang:"), ("series", "Series of")):
            self.fields[name].label = f"{what} {self.title}"
            kind = {"need": "form-select", "must_hang": "form-check-input"}.get(name, "form-control")
            self.fields[name].widget.attrs |= {"class": kind, "aria-label": f"{what} {self.title}"}


TableRows = forms.formset_factory(TableRow, extra=0, max_num=1_000, absolute_max=1_000)


def work_table(data: Any, *, works: Sequence[Any]) -> Any:
    """The table of `works`, filled with `data` if something was sent."""
    initial = [
        {"code": work.code, "need": work.need, "must_hang": work.must_hang, "series": work.series} for work in works
    ]
    titles = {work.code: work.title for work in works}
    return TableRows(data, prefix="works", initial=initial, form_kwargs={"titles": titles})


def typed_rows(table: Any) -> list[WorkRow]:
    """What a valid table asks for."""
    return [WorkRow(**row.cleaned_data) for row in table.forms]


class WorthForm(ShowForm):
    """A field for every way a work could hang; empty is the worth as reckoned."""

    def __init__(self, *args: Any, ways: Sequence[Any], **kwargs: Any) -> None:
        kwargs["initial"] = {way.key: way.own for way in ways if way.own is not None}
        super().__init__(*args, **kwargs)
        self.ways = ways
        for way in ways:
            self.fields[way.key] = CountField(
                label=f"{way.size} in {way.finish}", most=100_000, required=False, placeholder=str(way.reckoned)
            )
            self.fields[way.key].widget.attrs["class"] = "form-control"

    @property
    def lines(self) -> list[tuple[Any, Any]]:
        """Every way with its field."""
        return [(way, self[way.key]) for way in self.ways]

    @property
    def worths(self) -> dict[tuple[str, str], int | None]:
        """(size code, finish code) → the artist's own worth, None for the reckoned one."""
        return {(way.size.code, way.finish.code): self.cleaned_data[way.key] for way in self.ways}


class TieForm(ShowForm):
    """A new tie of a work to another."""

    kind = forms.ChoiceField(label="This work", choices=KINDS)
    other = forms.ChoiceField(label="Other work")

    def __init__(self, *args: Any, others: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["other"].choices = [("", "choose a work"), *others]  # type: ignore[attr-defined]  # see above
