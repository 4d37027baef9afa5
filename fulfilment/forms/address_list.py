"""The form that has backers asked where their prints go."""

from django import forms

from campaign.forms.fields import DayField
from campaign.forms.show_form import laid_out


class AskForAddressesForm(forms.Form):
    """The day by which they should have answered."""

    until_on = DayField(
        label="To be answered by",
        help_text="A week is kind. Three days before it, who has not answered is reminded once.",
        error_messages={"required": "Give the day by which backers should have answered."},
    )
    helper = laid_out("until_on")
