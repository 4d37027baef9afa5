"""Which rules of mail orders are listed for an address: by its country alone."""

from enum import StrEnum


class Region(StrEnum):
    """Where the rules that are listed differ."""

    US = "us"
    EU = "eu"
    UK = "uk"
    ELSEWHERE = "elsewhere"


# The states, and the territories that have a country code of their own.
_US = frozenset({"US", "AS", "GU", "MP", "PR", "UM", "VI"})
# The members; Iceland, Liechtenstein and Norway, which follow the same directive; parts of members with own codes.
_EU = frozenset(
    {
        "AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT", "LT", "LU",
        "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK",
        "IS", "LI", "NO",
        "AX", "GF", "GP", "MF", "MQ", "RE", "YT",
    }
)  # fmt: skip


def region_of(country: str) -> Region:
    """
    The region of an ISO 3166 two-letter code; of an unknown or empty one, elsewhere.

    Notes: the Channel Islands and the Isle of Man have codes and laws of their own and count as elsewhere. The list of
        who follows the directive is from memory.

    >>> region_of("DE").value, region_of("PR").value, region_of("GB").value, region_of("JE").value
    ('eu', 'us', 'uk', 'elsewhere')
    """
    if country in _US:
        return Region.US
    if country in _EU:
        return Region.EU
    return Region.UK if country == "GB" else Region.ELSEWHERE
