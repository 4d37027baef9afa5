"""Forms of the schedule: closed days, steps that are done, deadlines."""

from datetime import date
from typing import Any

from crispy_forms.layout import Div
from django import forms

from campaign.forms.fields import DayField, MoneyField
from campaign.forms.show_form import RowForm, ShowForm, laid_out, rows_of
from campaign.planning.days.schedule import NAMES, OWN_STEPS
from campaign.services.schedule import ClosedWish, DeadlineWish, StepWish

KINDS = [("grant", "a grant"), ("sponsor", "a sponsor"), ("other", "something else")]


class ClosedRow(RowForm):
    """One stretch of closed days."""

    first_on = DayField(label="From")
    last_on = DayField(label="To, if more than a day", required=False)
    note = forms.CharField(label="Why", max_length=120, required=False)

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        first_on, last_on = values.get("first_on"), values.get("last_on")
        if first_on and last_on and last_on < first_on:
            self.add_error("last_on", "The last closed day must not be before the first.")
        return values


ClosedRows = rows_of(ClosedRow, spare=3)


def closed_wishes(rows: Any) -> tuple[ClosedWish, ...]:
    """What the rows ask for."""
    return tuple(ClosedWish(row["first_on"], row["last_on"] or row["first_on"], row["note"]) for row in rows.kept)


class StepsForm(ShowForm):
    """Which steps are begun and which are done; `today_on` is the last day that can be named."""

    helper = laid_out(*(Div(f"{code}_begun", f"{code}_done", css_class="row") for code in OWN_STEPS))

    def __init__(self, *args: Any, today_on: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today_on = today_on
        for code in OWN_STEPS:
            self.fields[f"{code}_begun"] = DayField(label=f"{NAMES[code]}: begun on", required=False)
            self.fields[f"{code}_done"] = DayField(label=f"{NAMES[code]}: done on", required=False)

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        for name, day in list(values.items()):
            if day is not None and day > self.today_on:
                self.add_error(name, "This day has not come yet; say it when it has happened.")
        for code in OWN_STEPS:
            begun_on, done_on = values.get(f"{code}_begun"), values.get(f"{code}_done")
            if begun_on and done_on and done_on < begun_on:
                self.add_error(f"{code}_done", "It cannot be done before it was begun.")
        return values

    @property
    def wishes(self) -> dict[str, StepWish]:
        """What the form says, by step; a step that is done in one day needs no day of beginning."""
        days = {code: (self.cleaned_data[f"{code}_begun"], self.cleaned_data[f"{code}_done"]) for code in OWN_STEPS}
        return {code: StepWish(begun or done, done) for code, (begun, done) in days.items() if begun or done}


class DeadlineForm(ShowForm):
    """A date set by others."""

    uid = forms.UUIDField(widget=forms.HiddenInput)
    name = forms.CharField(label="What must be handed in", max_length=160)
    kind = forms.ChoiceField(label="To whom", choices=KINDS)
    on = DayField(label="By")
    money_minor = MoneyField(label="What could come of it", required=False, help_text="May stay empty.")
    note = forms.CharField(label="Note", max_length=300, required=False, widget=forms.Textarea(attrs={"rows": 2}))
    helper = laid_out("uid", "name", Div("kind", "on", "money_minor", css_class="row"), "note")

    @property
    def wish(self) -> DeadlineWish:
        """What the form asks for."""
        return DeadlineWish(**{name: value for name, value in self.cleaned_data.items() if name != "uid"})
