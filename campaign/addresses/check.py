"""Checking an address as it was typed and bringing it to one spelling."""

import re
import unicodedata
from collections.abc import Mapping

from campaign.addresses.rules import (
    FIELDS,
    AddressError,
    AddressField,
    address_fields,
    check_country,
    country_in_sentence,
    is_latin,
    label_of,
    regions,
    rules_for,
    unaccented,
)

LONGEST_LINE = 70
MOST_STREET_LINES = 3
_FULL_WIDTH = {code: code - 0xFEE0 for code in range(0xFF01, 0xFF5F)} | {0x3000: " "}
_BRITISH = frozenset({"GB", "GG", "JE", "IM", "GI", "FK", "GS", "IO", "PN", "SH", "TC"})


def _tidy(value: str) -> str:
    """Plain digits and spaces, line ends as \\n, no invisible characters, no blank lines."""
    text = unicodedata.normalize("NFC", value.translate(_FULL_WIDTH))
    lines = ("".join(map(_plain, line)) for line in re.split(r"[\r\n\v\f\x85\u2028\u2029]+", text))
    return "\n".join(line for line in (" ".join(line.split()).strip(" ,") for line in lines) if line)


def _plain(character: str) -> str:
    if unicodedata.category(character) == "Cf":
        return ""
    digit = unicodedata.decimal(character, None)
    return character if digit is None else str(digit)


def tidy_postcode(country_code: str, text: str) -> str:
    """
    A postcode in its country's spelling: sw1a2aa is SW1A 2AA, K1A0A2 is K1A 0A2, CH-8001 is 8001.

    Returns: the text in capitals, unchanged otherwise, where no rule or example fits.
    """
    rules = rules_for(country_code)
    typed = " ".join(text.upper().split())
    bare = re.sub(r"[\s-]", "", typed)
    without_prefix = re.sub(rf"^(?:{country_code}|[A-Z])[ -]?(?=\d)", "", typed)
    spaced = [f"{bare[:-3]} {bare[-3:]}"] if country_code in _BRITISH else []
    for example in rules.postal_code_examples:
        spaced += [_shaped_like(example, shape) for shape in (bare, re.sub(r"[\s-]", "", without_prefix))]
    for candidate in (*spaced, typed, bare, without_prefix):
        if candidate and all(matcher.match(candidate) for matcher in rules.postal_code_matchers):
            return candidate
    return typed


def _shaped_like(example: str, bare: str) -> str:
    """`bare` with the spaces and hyphens of `example`, empty if letters and digits fall differently."""
    shape = re.sub("[A-Z]", "A", re.sub(r"\d", "9", bare))
    wanted = re.sub("[A-Z]", "A", re.sub(r"\d", "9", example.upper()))
    if re.sub(r"[\s-]", "", wanted) != shape:
        return ""
    characters = iter(bare)
    return "".join(mark if mark in " -" else next(characters) for mark in wanted)


def normalise_address(country: str, data: Mapping[str, str]) -> dict[str, str]:
    """
    Check an address by its country's rules and bring it to one spelling.

    Parameters: country, ISO 3166-1 code; data, any of FIELDS (others are ignored; `country` wins over
        country_code); street_address may hold up to three lines.
    Returns: all nine FIELDS, blank where the country has none; safe to normalise again.
    Raises: AddressError with a sentence for each field that is missing, wrong, not in Latin letters, too
        long, or given although the country's addresses have no such field: nothing is dropped silently.
    Notes: cities are not checked against lists, which are incomplete; regions are.
    """
    code = country.strip().upper()
    check_country(code)
    found = {key: _tidy(data.get(key) or "") for key in FIELDS} | {"country_code": code}
    found = {key: text if key == "street_address" else text.replace("\n", " ") for key, text in found.items()}
    errors: dict[str, str] = {}
    fields = {field.key: field for field in address_fields(code)}
    for key in FIELDS[:-1]:
        fault = _fault(found[key], code, fields.get(key), key)
        if fault:
            errors[key] = fault
    if found["country_area"] and "country_area" not in errors:
        found["country_area"] = _matched_area(found["country_area"], code, errors)
    if found["postal_code"] and "postal_code" not in errors:
        found["postal_code"] = _matched_postcode(found, errors)
    if errors:
        raise AddressError(errors)
    return found


def _in_sentence(label: str) -> str:
    return label if label[:2].isupper() else label[0].lower() + label[1:]


def _fault(text: str, country_code: str, field: AddressField | None, key: str) -> str:
    """What is wrong with one field by itself, empty if nothing is."""
    where = country_in_sentence(country_code)
    label = label_of(country_code, key)
    if field is None:
        no_such = f"Addresses in {where} have no {_in_sentence(label)}; leave it empty or put it into the street lines."
        return no_such if text else ""
    if not text:
        return f"{label} is needed for an address in {where}." if field.required else ""
    # A region may be typed in the country's own script: it is matched with a list that knows both.
    if not is_latin(text) and not field.choices:
        return f"{label}: please use Latin letters, as on an envelope from abroad; “{text[:40]}” has others."
    lines = text.split("\n")
    if len(lines) > MOST_STREET_LINES:
        return f"{label}: found {len(lines)} lines; at most {MOST_STREET_LINES} fit on a label."
    if max(map(len, lines)) > LONGEST_LINE:
        return f"{label}: at most {LONGEST_LINE} characters fit on one line of a label."
    return ""


def _matched_area(text: str, country_code: str, errors: dict[str, str]) -> str:
    """The region as a label prints it; the country's own script, its code and its names are all understood."""
    choices = rules_for(country_code).country_area_choices
    if not choices:
        return text
    folded = unaccented(text)
    key = next((key for key, name in choices if folded in (unaccented(key), unaccented(name))), None)
    values = {known: value for known, value, _ in regions(country_code)}
    if key in values:
        return values[key]
    label = label_of(country_code, "country_area").lower()
    where = country_in_sentence(country_code)
    errors["country_area"] = f"“{text[:40]}” is not a {label} of {where}; choose one from the list."
    return text


def _matched_postcode(found: Mapping[str, str], errors: dict[str, str]) -> str:
    """The postcode in its country's spelling; a sentence if the country or the region has no such code."""
    code = found["country_code"]
    text = tidy_postcode(code, found["postal_code"])
    label = label_of(code, "postal_code")
    noun = _in_sentence(label)
    rules = rules_for(code)
    if not all(matcher.match(text) for matcher in rules.postal_code_matchers):
        example = f"; it looks like {rules.postal_code_examples[0]}" if rules.postal_code_examples else ""
        errors["postal_code"] = f"“{text[:20]}” is not a {noun} of {country_in_sentence(code)}{example}."
        return text
    local = rules_for(code, found["country_area"])
    if not all(matcher.match(text) for matcher in local.postal_code_matchers):
        example = f"; there it looks like {local.postal_code_examples[0]}" if local.postal_code_examples else ""
        errors["postal_code"] = f"{label} “{text}” does not belong to {found['country_area']}{example}."
    return text
