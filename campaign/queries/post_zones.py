"""The postage table as zones that buyers live in, with the postage of one copy."""

from collections.abc import Sequence

from campaign.addresses import country_name
from campaign.models import Edition, Pledge, PledgeLine, PostageRate
from campaign.planning.prices.pricing import PostZone
from campaign.queries.postage import Load, reach, takes

EVERYWHERE = ("*",)
NAMED_AT_MOST = 6


def read_zones(rates: Sequence[PostageRate], *, load: Load) -> tuple[list[PostZone], list[str]]:
    """
    Every zone with the postage of one copy, in the order of the table, and the countries of each in words.

    Parameters: rates, those in force; load, one packed copy. A zone whose steps all end below it has its last price.
    """
    first: dict[str, PostageRate] = {}
    by_reach = sorted(rates, key=reach)
    fitting = [rate for rate in by_reach if takes(rate, load)]
    for rate in (*fitting, *reversed(by_reach)):
        first.setdefault(rate.zone, rate)
    names = dict.fromkeys(rate.zone for rate in rates)
    zones = [PostZone(name, first[name].charge_minor, first[name].cost_minor) for name in names]
    return zones, [country_words(first[name].country_codes) for name in names]


def country_words(codes: Sequence[str]) -> str:
    """Countries by name; of many the first few and how many more."""
    if tuple(codes) == EVERYWHERE:
        return "everywhere else"
    names = sorted(country_name(code) for code in codes)
    more = len(names) - NAMED_AT_MOST
    return ", ".join(names) if more <= 1 else f"{', '.join(names[:NAMED_AT_MOST])} and {more} more"


def zone_of(country: str, *, rates: Sequence[PostageRate], zones: Sequence[PostZone]) -> int | None:
    """Index of the zone that a country (ISO code) is in; None where nothing is posted to it."""
    named = next((rate.zone for rate in rates if country in rate.country_codes), None)
    found = named or next((rate.zone for rate in rates if rate.country_codes == EVERYWHERE), None)
    return [zone.name for zone in zones].index(found) if found is not None else None


def copies_by_zone(edition: Edition, *, rates: Sequence[PostageRate], zones: Sequence[PostZone]) -> list[int]:
    """Copies of `edition` ordered so far, by where they go. One query."""
    copies = [0] * len(zones)
    lines = PledgeLine.objects.filter(edition=edition, pledge__state__in=Pledge.LIVE)
    ordered = lines.values_list("address__country_code", "pledge__address__country_code", "copies")
    for friend_country, country, count in ordered:
        zone = zone_of(friend_country or country or "", rates=rates, zones=zones)
        if zone is not None:
            copies[zone] += count
    return copies
