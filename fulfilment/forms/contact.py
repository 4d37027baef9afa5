"""The form for a backer's e-mail address."""

from django import forms

from campaign.forms.show_form import laid_out


class EmailForm(forms.Form):
    """An address that mail can be sent to."""

    email = forms.EmailField(
        label="E-mail address", max_length=254, widget=forms.EmailInput(attrs={"autocomplete": "off"}),
        error_messages={"invalid": "This is not an e-mail address; one looks like mary@example.org."},
    )  # fmt: skip
    helper = laid_out("email")
