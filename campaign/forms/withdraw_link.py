"""Withdrawing the private link of an order."""

from django import forms

from campaign.forms.show_form import laid_out


class WithdrawForm(forms.Form):
    """`version` is that of the link on the page, so that a double click spares the new link."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=2_000_000_000)
    sends_new = forms.BooleanField(
        label="Send a new one", required=False, initial=True, help_text="To the e-mail address of the order."
    )
    helper = laid_out("version", "sends_new")
