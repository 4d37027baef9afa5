"""Countries and groups of countries as people write them in a table of postage."""

import re
from collections.abc import Sequence
from functools import lru_cache

from babel import Locale

from campaign.showfolder.fields import Context, FieldRefused

EU = "EU"
EVERYWHERE = "*"
# Member states on 1 January 2026, ISO 3166-1 codes. From memory; check europa.eu, "EU countries".
EU_MEMBERS = (
    "AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT", "LT", "LU", "LV",
    "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK",
)  # fmt: skip
_EVERYWHERE_WORDS = {
    "*", "all", "elsewhere", "everywhere", "everywhere else", "everyone else", "other", "others", "rest",
    "rest of the world", "rest of world", "row", "the rest", "world", "worldwide", "international",
}  # fmt: skip
_EU_WORDS = {"eu", "european union", "the eu", "europe (eu)", "eu27", "eu-27"}
_COUNTRY_WORDS = {"uk": "GB", "great britain": "GB", "britain": "GB", "england": "GB", "scotland": "GB", "wales": "GB",
                  "usa": "US", "u.s.": "US", "u.s.a.": "US", "holland": "NL", "el": "GR"}  # fmt: skip


def countries(cell: str, _: Context) -> tuple[str, ...]:
    """ISO 3166-1 alpha-2 codes from codes and English names; "EU" and "*" (everywhere else) stay as they are."""
    return country_list(cell)


def country_list(text: str) -> tuple[str, ...]:
    """The same without a table around it. Raises: FieldRefused for what is no country."""
    return tuple(dict.fromkeys(country(part) for part in re.split(r"[;,/\n|+]", text) if part.strip()))


def open_union(named: Sequence[tuple[str, ...]]) -> list[tuple[str, ...]]:
    """
    The countries of each row with "EU" opened into the members that no row names itself, each once.

    >>> [codes[:2] for codes in open_union([("DE",), ("EU", "CH"), ("*",)])]
    [('DE',), ('AT', 'BE'), ('*',)]
    """
    own = {code for codes in named for code in codes} - {EU, EVERYWHERE}
    members = [code for code in EU_MEMBERS if code not in own]
    opened = ([code for part in codes for code in (members if part == EU else [part])] for codes in named)
    return [tuple(dict.fromkeys(codes)) for codes in opened]


def fold_union(named: Sequence[tuple[str, ...]]) -> list[tuple[str, ...]]:
    """
    The other way: a row that has every member no other row names says "EU" for them.

    >>> fold_union(open_union([("DE",), ("EU", "CH"), ("*",)]))
    [('DE',), ('EU', 'CH'), ('*',)]
    """
    folded = []
    for row, codes in enumerate(named):
        others = {code for other, them in enumerate(named) if other != row and them != codes for code in them}
        members = set(EU_MEMBERS) - others
        is_union = len(members) > len(EU_MEMBERS) // 2 and members <= set(codes)
        rest = tuple(code for code in codes if not (is_union and code in members))
        folded.append((EU, *rest) if is_union else codes)
    return folded


def country(cell: str) -> str:
    """
    One country as its two-letter code, "EU", or "*".

    Raises: FieldRefused for what is no country.
    """
    word = " ".join(cell.casefold().split())
    if word in _EVERYWHERE_WORDS:
        return EVERYWHERE
    if word in _EU_WORDS:
        return EU
    found = _COUNTRY_WORDS.get(word) or _names().get(word)
    if found is None:
        raise FieldRefused(
            f"“{cell.strip()}” is no country; write a two-letter code such as DE, or EU, or * for the rest."
        )
    return found


@lru_cache(maxsize=1)
def _names() -> dict[str, str]:
    names: dict[str, str] = {}
    for key, name in Locale("en").territories.items():
        # Two letters that stand for groups of countries or for none.
        if re.fullmatch("[A-Z]{2}", key) and key not in {"EU", "EZ", "UN", "QO", "ZZ", "XA", "XB"}:
            names[key.casefold()] = key
            names[name.casefold()] = key
    return names
