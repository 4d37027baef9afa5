"""The postage table as zones that buyers live in, with the postage of one copy."""

from collections.abc import Sequence

from campaign.addresses import country_name
from campaign.models import Edition, Pledge, PledgeLine, PostageRate
from campaign.planning.prices.pricing import PostZone

LIVE = (Pledge.State.HELD, Pledge.State.PAID)
EVERYWHERE = ("*",)
NAMED_AT_MOST = 6


def read_zones(rates: Sequence[PostageRate]) -> tuple[list[PostZone], list[str]]:
    """Every zone with the postage of one copy, in the order of the table, and the countries of each in words."""
    first: dict[str, PostageRate] = {}
    for rate in sorted(rates, key=lambda rate: rate.up_to_copies):
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
    lines = PledgeLine.objects.filter(edition=edition, pledge__state__in=LIVE)
    ordered = lines.values_list("address__country_code", "pledge__address__country_code", "copies")
    for friend_country, country, count in ordered:
        zone = zone_of(friend_country or country or "", rates=rates, zones=zones)
        if zone is not None:
            copies[zone] += count
    return copies
