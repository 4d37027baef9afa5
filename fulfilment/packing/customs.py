"""Which customs note a parcel needs. Common practice of the posts; the carrier and the customs offices decide."""

from enum import StrEnum

# Member states of the customs union of the European Union, and Monaco; from memory. Parts of members with own codes
# (overseas departments, Åland) are inside for customs and outside for value added tax, and need a note for that.
_EU_CUSTOMS = frozenset(
    {
        "AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT", "LT", "LU",
        "LV", "MC", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK",
    }
)  # fmt: skip
# Inside the country by its code, outside the customs or tax area: beginnings of postcodes. From memory.
_OUTSIDE = {
    "ES": ("35", "38", "51", "52"),  # Canary Islands, Ceuta, Melilla
    "FI": ("22",),  # Åland
    "FR": ("971", "972", "973", "974", "976"),
    "DE": ("78266", "27498"),  # Büsingen, Heligoland
    "IT": ("23041",),  # Livigno
    "GR": ("63086", "63087"),  # Mount Athos
}
SDR_LIMIT = 300


class CustomsNote(StrEnum):
    """The form, by its name at the Universal Postal Union."""

    NONE = "none"
    CN22 = "CN 22"
    CN23 = "CN 23"


def sdr_limit_minor(*, minor_per_sdr_milli: int) -> int:
    """
    300 SDR in the smallest unit of a currency, rounded up: a value of as much is not below it.

    Parameters: minor_per_sdr_milli, what one SDR costs, in thousandths of that unit, as the artist read it on a day.

    >>> sdr_limit_minor(minor_per_sdr_milli=124_350)
    37305
    """
    return -(-SDR_LIMIT * minor_per_sdr_milli // 1000)


def customs_note(
    *, value_minor: int, limit_minor: int, mass_g: int, is_letter_post: bool, leaves_customs_area: bool
) -> CustomsNote:
    """
    CN 22 for letter post worth less than 300 SDR and up to 2 kg; CN 23 for all else that leaves the customs area.

    At exactly the limit CN 23: one post publishes "300 or more", the stricter reading.
    """
    if not leaves_customs_area:
        return CustomsNote.NONE
    if is_letter_post and value_minor < limit_minor and mass_g <= 2_000:
        return CustomsNote.CN22
    return CustomsNote.CN23


def in_eu_customs_area(country: str) -> bool:
    """
    Whether a country, by its code, is in the customs union of the European Union.

    >>> in_eu_customs_area("FR"), in_eu_customs_area("CH")
    (True, False)
    """
    return country in _EU_CUSTOMS


def leaves_customs_area(*, from_country: str, to_country: str, to_postcode: str = "") -> bool:
    """
    Whether a parcel crosses a customs or tax border, by country codes and, within some countries, by postcode.

    >>> leaves_customs_area(from_country="DE", to_country="FR", to_postcode="75008")
    False
    >>> leaves_customs_area(from_country="DE", to_country="ES", to_postcode="35001")
    True
    """
    if any(to_postcode.replace(" ", "").startswith(begin) for begin in _OUTSIDE.get(to_country, ())):
        return True
    return to_country != from_country and not {from_country, to_country} <= _EU_CUSTOMS
