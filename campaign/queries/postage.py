"""What posting costs, and which ways of paying a show offers."""

from campaign.models import Pledge, PostageRate, Show, Studio


def find_postage(*, show: Show, country: str, copies: int) -> PostageRate | None:
    """
    The rate for `copies` to `country` (ISO code): the zone that names it, else the zone for everywhere else.

    The smallest step that takes that many copies; None where the artist has no price.
    """
    rates = [rate for rate in show.postage_rates.all() if rate.up_to_copies >= copies]
    named = [rate for rate in rates if country in rate.country_codes]
    zones_naming = any(country in rate.country_codes for rate in show.postage_rates.all())
    usable = named if zones_naming else [rate for rate in rates if rate.country_codes == ("*",)]
    return min(usable, key=lambda rate: rate.up_to_copies, default=None)


def list_ways(*, studio: Studio, show: Show) -> list[tuple[str, str]]:
    """The ways of paying that the studio offers, as form choices."""
    return [(way.value, way.label) for way in Pledge.Way if is_way_offered(studio=studio, show=show, way=way.value)]


def is_way_offered(*, studio: Studio, show: Show, way: str) -> bool:
    """A way is offered once the artist has filled in what it needs."""
    offered = {"transfer": bool(studio.iban), "cheque": bool(studio.cheque_payee), "cash": bool(studio.cash_note)}
    return offered.get(way, False)
