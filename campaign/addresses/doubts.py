"""What to look at twice in an address that its country's rules let pass. Hints for a person, never a refusal."""

import re
from collections.abc import Mapping

from campaign.addresses.check import normalise_address
from campaign.addresses.rules import AddressError

# Common practice, no source: many carriers' labels and files have room for so many characters a line.
SHORT_LINE = 35
_NUMBER = re.compile(r"\d|\bp\.?\s?o\.?\s?box\b", re.IGNORECASE)


def doubts_about(name: str, address: Mapping[str, str]) -> tuple[str, ...]:
    """
    Sentences on what may be wrong with a name and an address; none for one that looks whole.

    Parameters: address, fields as in `FIELDS`.
    Returns: the faults by the country's rules, for each field; where there are none: no number in the street lines, a
        line longer than carriers print.

    >>> berlin = {"street_address": "Beispielweg", "postal_code": "10115", "city": "Berlin", "country_code": "DE"}
    >>> doubts_about("Kim Sample", berlin)
    ('No house number: “Beispielweg”.',)
    >>> doubts_about("Kim Sample", {**berlin, "street_address": "Beispielweg 7"})
    ()
    """
    try:
        tidy = normalise_address(address.get("country_code", ""), {**address, "name": name})
    except AddressError as error:
        return tuple(error.errors.values())
    found = []
    street = tidy["street_address"]
    if not _NUMBER.search(street):
        found.append(f"No house number: “{street.splitlines()[0][:60] if street else ''}”.")
    found += [
        f"{len(line)} characters in one line; many carriers cut after {SHORT_LINE}: “{line[:60]}”."
        for line in (tidy["name"], *street.splitlines())
        if len(line) > SHORT_LINE
    ]
    return tuple(found)
