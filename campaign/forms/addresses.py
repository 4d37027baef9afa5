"""Asking for a postal address by the rules of its country."""

from collections.abc import Sequence
from typing import Any

from django import forms

from campaign.addresses import AddressError, AddressField, address_fields, country_in_sentence, normalise_address
from campaign.forms.fields import LongSelect
from campaign.forms.layout import plain_helper

NAME_LENGTH = 120


def form_field(field: AddressField, *, country_code: str, section: str = "") -> forms.Field:
    """One field of an address as the browser should offer it; `section` names another person's."""
    label = field.label if field.required else f"{field.label} (if there is one)"
    attrs = {"autocomplete": f"section-{section} {field.autocomplete}" if section else field.autocomplete}
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
    """
    A form with `name` and the address fields of a country; `clean` puts the checked address into "address".

    With a prefix such as "friend_" the same for somebody else: `friend_name` and its address fields.
    """

    def add_address_fields(self, country_code: str, *, prefix: str = "") -> list[str]:
        """Add the country's fields, without the name, in the order of the country's layout. Returns: their names."""
        names = []
        for field in address_fields(country_code):
            if field.key != "name":
                names.append(f"{prefix}{field.key}")
                self.fields[names[-1]] = form_field(field, country_code=country_code, section=prefix.rstrip("_"))
        return names

    def checked_address(self, country_code: str, *, prefix: str = "") -> dict[str, str]:
        """The address in the country's spelling, without the name; errors go to their fields."""
        keys = [field.key for field in address_fields(country_code)]
        typed = {key: self.cleaned_data.get(f"{prefix}{key}") or "" for key in keys}
        try:
            found = normalise_address(country_code, typed)
        except AddressError as error:
            for key, sentence in error.errors.items():
                name = f"{prefix}{key}"
                if name not in self.errors:
                    self.add_error(name if name in self.fields else None, sentence)
            return {}
        self.cleaned_data[f"{prefix}name"] = found.pop("name")
        return {key: text for key, text in found.items() if text}


def pick_country(asked: str, *, kept: str, countries: Sequence[tuple[str, str]]) -> str:
    """Whose rules an address form follows: the country asked for, else the one it is now, else the first there is."""
    codes = [code for code, _ in countries]
    return next((code for code in (asked.upper(), kept, *codes) if code in codes), kept)


class CountryForm(forms.Form):
    """Which country a parcel goes to; sent by GET, so that the address form can follow its rules."""

    country = forms.ChoiceField(
        label="Country it is posted to", help_text="The postage and the fields of the address follow from it.",
        widget=LongSelect(attrs={"autocomplete": "country"}),
    )  # fmt: skip

    def __init__(self, *args: Any, countries: Sequence[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = plain_helper()
        self.fields["country"].choices = countries  # type: ignore[attr-defined]  # a ChoiceField, declared above


class DestinationsForm(CountryForm):
    """The country of the backer, and that of a friend whom part of the order goes to; sent by GET as well."""

    friend = forms.ChoiceField(
        label="Copies for a friend at another address", required=False, widget=LongSelect,
        help_text="If some of it goes to somebody else, choose their country: name and address are then asked for.",
    )  # fmt: skip

    def __init__(self, *args: Any, countries: Sequence[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, countries=countries, **kwargs)
        self.fields["friend"].choices = [("", "No, all of it comes to me"), *countries]  # type: ignore[attr-defined]


class AddressForm(AddressFields):
    """Where an order that exists is to be posted."""

    name = forms.CharField(label="Name", max_length=NAME_LENGTH, widget=forms.TextInput({"autocomplete": "name"}))

    def __init__(self, *args: Any, country_code: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = plain_helper()
        self.country_code = country_code
        self.add_address_fields(country_code)

    def clean(self) -> dict[str, Any]:
        super().clean()
        self.cleaned_data["address"] = self.checked_address(self.country_code)
        return self.cleaned_data
