"""Forms of late posting: the notice of the studio."""

from typing import Any

from django import forms

from campaign.forms.fields import DayField
from campaign.forms.show_form import laid_out

DAYS = [("day", "There is a new day"), ("none", "No day can be given now")]


class LateForm(forms.Form):
    """The new day or that there is none, and why."""

    request_key = forms.UUIDField(widget=forms.HiddenInput)
    has_day = forms.ChoiceField(label="When", choices=DAYS, widget=forms.RadioSelect)
    new_on = DayField(
        label="By then every print is posted",
        required=False,
        help_text="A day that you have good reason to believe in.",
    )
    reason = forms.CharField(
        label="Why it is late, as your backers will read it", max_length=500, widget=forms.Textarea(attrs={"rows": 3})
    )
    helper = laid_out("request_key", "has_day", "new_on", "reason")

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        has_day, new_on = values.get("has_day"), values.get("new_on")
        if has_day == "day" and new_on is None and "new_on" not in self.errors:
            self.add_error("new_on", "Type the new day, or say that no day can be given.")
        if has_day == "none" and new_on is not None:
            self.add_error("new_on", "Leave the day empty, or say that there is one.")
        return values

    @property
    def wish(self) -> dict[str, Any]:
        """What the notice is to say."""
        return {"new_on": self.cleaned_data["new_on"], "reason": self.cleaned_data["reason"]}


class AnswerForm(forms.Form):
    """A backer's word on the notice `number`, by one of two buttons."""

    number = forms.IntegerField(min_value=1, max_value=32_767)
    word = forms.ChoiceField(choices=[("wait", "wait"), ("cancel", "cancel")])
