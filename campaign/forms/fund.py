"""Forms of the room Fund that are not about money that moved: levels, the list of pledges, closing."""

from typing import Any

from crispy_forms.layout import Div
from django import forms

from campaign.forms.fields import MoneyField
from campaign.forms.show_form import RowForm, laid_out, rows_of
from campaign.measures.money import LARGEST_MINOR
from campaign.services.campaigns import LevelWish

STATES = [
    ("", "all"),
    ("held", "waiting for payment"),
    ("paid", "paid"),
    ("cancelled", "cancelled"),
    ("lapsed", "lapsed unpaid"),
]


class LevelRow(RowForm):
    """One level."""

    name = forms.CharField(label="Name", max_length=80)
    money_minor = MoneyField(label="From this wall money on", at_least=1)
    promise = forms.CharField(
        label="Promise", max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )


LevelRows = rows_of(LevelRow, most=30)


class LandingForm(forms.Form):
    """The sum at which a level is suggested."""

    at = forms.IntegerField(min_value=1, max_value=LARGEST_MINOR)


class MendForm(forms.Form):
    """What is to be done about a level whose promise does not hold."""

    money_minor = forms.IntegerField(min_value=1, max_value=LARGEST_MINOR)
    act = forms.ChoiceField(choices=[("move", "move it"), ("less", "promise less")])


def levels_differ(rows: Any) -> bool:
    """True if no two levels stand at the same sum; a sentence at the row otherwise."""
    seen: set[int] = set()
    for row in rows.forms:
        money_minor = row.cleaned_data.get("money_minor")
        if money_minor is None or row.cleaned_data.get("DELETE"):
            continue
        if money_minor in seen:
            row.add_error("money_minor", "Another level stands at this sum already.")
            return False
        seen.add(money_minor)
    return True


def level_wishes(rows: Any) -> list[LevelWish]:
    """What the rows ask for."""
    return [LevelWish(**row) for row in rows.kept]


class PledgeSearch(forms.Form):
    """Which pledges to list."""

    state = forms.ChoiceField(label="State", choices=STATES, required=False)
    words = forms.CharField(label="Name, e-mail, order or reference", max_length=80, required=False)
    helper = laid_out(Div("state", "words", css_class="row"))
