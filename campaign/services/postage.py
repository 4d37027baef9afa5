"""What posting costs, by zone and number of copies; orders keep the postage they were placed with."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from campaign.errors import NotReady
from campaign.models import PostageRate, Show
from campaign.services.matching import drop_leftovers, match_rows
from campaign.showfolder.countries import EU, EU_MEMBERS, EVERYWHERE


@dataclass(frozen=True, slots=True)
class PostageWish:
    """
    One step of a zone as typed; minor units.

    `countries` are ISO codes, "EU" or "*" for everywhere else; a later step of a zone may leave them out.
    """

    zone: str
    countries: tuple[str, ...]
    up_to_copies: int
    charge_minor: int
    cost_minor: int


@transaction.atomic(durable=True)
def set_postage(*, show: Show, rates: Sequence[PostageWish]) -> list[PostageRate]:
    """
    Replace the postage of `show`.

    Writes: PostageRate.
    Raises: NotReady for a zone without a country, a country in two zones, a step that stands there twice, and for a
        published page that could not post to the artist's own country.
    Repeat: the same table again changes nothing.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    zones = open_zones(rates)
    _check(zones, rates=rates, show=current)
    match = match_rows(
        table="postage",
        present=current.postage_rates.all(),
        wanted=[
            {
                "show": current, "zone": rate.zone, "countries": " ".join(zones[rate.zone]),
                "up_to_copies": rate.up_to_copies, "charge_minor": rate.charge_minor, "cost_minor": rate.cost_minor,
            }
            for rate in rates
        ],
        key=["zone", "up_to_copies"],
    )  # fmt: skip
    drop_leftovers(match)
    return list(match.rows)


def open_zones(rates: Sequence[PostageWish]) -> dict[str, tuple[str, ...]]:
    """
    Countries of every zone, all that its steps name; "EU" opened into the members that no zone names itself.

    >>> rates = [PostageWish("Home", ("DE",), 1, 0, 0), PostageWish("Far", ("CH", "*"), 1, 0, 0)]
    >>> open_zones(rates)
    {'Home': ('DE',), 'Far': ('CH', '*')}
    """
    named = {code for rate in rates for code in rate.countries} - {EU, EVERYWHERE}
    zones: dict[str, list[str]] = {}
    for rate in rates:
        found = zones.setdefault(rate.zone, [])
        for code in rate.countries:
            found.extend([member for member in EU_MEMBERS if member not in named] if code == EU else [code])
    return {zone: tuple(dict.fromkeys(codes)) for zone, codes in zones.items()}


def _check(zones: dict[str, tuple[str, ...]], *, rates: Sequence[PostageWish], show: Show) -> None:
    seen: dict[str, str] = {}
    for zone, countries in zones.items():
        if not countries:
            raise NotReady(f"The zone “{zone}” names no country; write codes such as DE, or EU, or * for the rest.")
        if EVERYWHERE in countries and len(countries) > 1:
            raise NotReady(f"The zone “{zone}” names countries and * for everywhere else; make it two zones.")
        for country in countries:
            if country in seen:
                raise NotReady(f"{country} is in the zones “{seen[country]}” and “{zone}”; name it once.")
            seen[country] = zone
    steps = [(rate.zone, rate.up_to_copies) for rate in rates]
    twice = next((step for step in steps if steps.count(step) > 1), None)
    if twice:
        raise NotReady(f"The zone “{twice[0]}” has two rows for up to {twice[1]} copies; keep one.")
    if show.state == Show.State.OPEN and not {show.country, EVERYWHERE} & set(seen):
        raise NotReady(f"No zone has your own country, {show.country}, and orders are being taken; add one.")
