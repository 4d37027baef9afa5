"""Asking for a postal address by the rules of its country."""

from collections.abc import Sequence
from typing import Any

from django import forms

from campaign.addresses import AddressError, AddressField, address_fields, country_in_sentence, normalise_address
from campaign.forms.layout import plain_helper

NAME_LENGTH = 120


def form_field(field: AddressField, *, country_code: str) -> forms.Field:
    """One field of an address as the browser should offer it."""
    label = field.label if field.required else f"{field.label} (if there is one)"
    attrs = {"autocomplete": field.autocomplete}
    needed = {"required": f"{field.label} is needed for an address in {country_in_sentence(country_code)}."}
    if field.choices:
        select = forms.Select(attrs=attrs)
        options = [("", "Choose"), *field.choices]
        return forms.ChoiceField(
            label=label, required=field.required, choices=options, widget=select, error_messages=needed
        )
    if field.key == "street_address":
        widget: forms.Widget = forms.Textarea(attrs=attrs | {"rows": 2})
    else:
        widget = forms.TextInput(attrs=attrs)
    return forms.CharField(label=label, required=field.required, max_length=250, widget=widget, error_messages=needed)


class AddressFields(forms.Form):
    """A form with `name` and the address fields of a country; `clean` puts the checked address into "address"."""

    country_code = ""

    def add_address_fields(self, country_code: str) -> None:
        """Add the country's fields, without the name, in the order of the country's layout."""
        self.country_code = country_code
        for field in address_fields(country_code):
            if field.key != "name":
                self.fields[field.key] = form_field(field, country_code=country_code)

    def checked_address(self) -> dict[str, str]:
        """The address in the country's spelling, without the name; errors go to their fields."""
        try:
            found = normalise_address(self.country_code, self._typed())
        except AddressError as error:
            for key, sentence in error.errors.items():
                if key not in self.errors:
                    self.add_error(key if key in self.fields else None, sentence)
            return {}
        self.cleaned_data["name"] = found.pop("name")
        return {key: text for key, text in found.items() if text}

    def _typed(self) -> dict[str, str]:
        keys = [field.key for field in address_fields(self.country_code)]
        return {key: self.cleaned_data.get(key) or "" for key in keys}


class CountryForm(forms.Form):
    """Which country a parcel goes to; sent by GET, so that the address form can follow its rules."""

    country = forms.ChoiceField(
        label="Country it is posted to", help_text="The postage and the fields of the address follow from it."
    )

    def __init__(self, *args: Any, countries: Sequence[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = plain_helper()
        self.fields["country"].choices = countries  # type: ignore[attr-defined]  # a ChoiceField, declared above
        self.fields["country"].widget.attrs["autocomplete"] = "country"


class AddressForm(AddressFields):
    """Where an order that exists is to be posted."""

    name = forms.CharField(label="Name", max_length=NAME_LENGTH, widget=forms.TextInput({"autocomplete": "name"}))

    def __init__(self, *args: Any, country_code: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = plain_helper()
        self.add_address_fields(country_code)

    def clean(self) -> dict[str, Any]:
        super().clean()
        self.cleaned_data["address"] = self.checked_address()
        return self.cleaned_data
