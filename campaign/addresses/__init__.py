"""Postal addresses by the rules of each country: what to ask for, what to refuse, what to print on the label."""

from campaign.addresses.check import normalise_address, tidy_postcode
from campaign.addresses.doubts import doubts_about
from campaign.addresses.layout import format_postal_lines
from campaign.addresses.rules import (
    FIELDS,
    AddressError,
    AddressField,
    address_fields,
    country_choices,
    country_codes,
    country_in_sentence,
    country_name,
)

__all__ = [
    "FIELDS",
    "AddressError",
    "AddressField",
    "address_fields",
    "country_choices",
    "country_codes",
    "country_in_sentence",
    "country_name",
    "doubts_about",
    "format_postal_lines",
    "normalise_address",
    "tidy_postcode",
]
