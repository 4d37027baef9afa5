"""What posting costs, by zone and number of copies or weight; orders keep the postage they were placed with."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from campaign.errors import NotReady
from campaign.models import PostageRate, Show
from campaign.services.matching import TableChange, drop_leftovers, match_rows
from campaign.showfolder.countries import EVERYWHERE, open_union


@dataclass(frozen=True, slots=True)
class PostageWish:
    """
    One step of a zone as typed; minor units.

    `countries` are ISO codes, "EU" or "*" for everywhere else; a later step of a zone may leave them out. A step goes
    up to so many copies or up to so many grams, the other is 0; `valid_from_on` None for a price that always was.
    """

    zone: str
    countries: tuple[str, ...]
    up_to_copies: int
    charge_minor: int
    cost_minor: int
    up_to_g: int = 0
    valid_from_on: date | None = None

    @property
    def step(self) -> tuple[str, int, int, date | None]:
        """What no two rows have alike."""
        return self.zone, self.up_to_copies, self.up_to_g, self.valid_from_on


@transaction.atomic(durable=True)
def set_postage(*, show: Show, rates: Sequence[PostageWish], now: datetime) -> list[PostageRate]:
    """
    Replace the postage of `show`.

    Writes: PostageRate.
    Raises: NotReady for a zone without a country, a country in two zones, a zone by copies and by weight at once, a
        step that stands there twice, and for a published page that could not post to the artist's own country.
    Repeat: the same table again changes nothing.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    zones = open_zones(rates)
    _check(zones, rates=rates, show=current, today=now.astimezone(current.zone).date())
    match_postage(current, rates=rates, zones=zones)
    return list(current.postage_rates.all())


def match_postage(show: Show, *, rates: Sequence[PostageWish], zones: Mapping[str, tuple[str, ...]]) -> TableChange:
    """The step itself, within the transaction of a caller; `zones` as `open_zones` has them."""
    match = match_rows(
        table="postage",
        present=show.postage_rates.all(),
        wanted=[
            {
                "show": show, "zone": rate.zone, "countries": " ".join(zones[rate.zone]),
                "up_to_copies": rate.up_to_copies, "up_to_g": rate.up_to_g, "valid_from_on": rate.valid_from_on,
                "charge_minor": rate.charge_minor, "cost_minor": rate.cost_minor,
            }
            for rate in rates
        ],
        key=["zone", "up_to_copies", "up_to_g", "valid_from_on"],
    )  # fmt: skip
    drop_leftovers(match)
    return match.change


def open_zones(rates: Sequence[PostageWish]) -> dict[str, tuple[str, ...]]:
    """
    Countries of every zone, all that its steps name; "EU" opened into the members that no zone names itself.

    >>> rates = [PostageWish("Home", ("DE",), 1, 0, 0), PostageWish("Far", ("CH", "*"), 1, 0, 0)]
    >>> open_zones(rates)
    {'Home': ('DE',), 'Far': ('CH', '*')}
    """
    zones: dict[str, tuple[str, ...]] = {}
    for rate in rates:
        zones[rate.zone] = (*zones.get(rate.zone, ()), *rate.countries)
    return dict(zip(zones, open_union(list(zones.values())), strict=True))


def _check(zones: dict[str, tuple[str, ...]], *, rates: Sequence[PostageWish], show: Show, today: date) -> None:
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
    steps = [rate.step for rate in rates]
    twice = next((step for step in steps if steps.count(step) > 1), None)
    if twice:
        size = f"{twice[2]} g" if twice[2] else f"{twice[1]} copies"
        raise NotReady(f"The zone “{twice[0]}” has two rows for up to {size}; keep one.")
    mixed = next((zone for zone in zones if len({bool(r.up_to_g) for r in rates if r.zone == zone}) > 1), None)
    if mixed:
        raise NotReady(f"The zone “{mixed}” has rows by copies and rows by weight; use one of the two.")
    begun = {code for rate in rates for code in zones[rate.zone] if (rate.valid_from_on or today) <= today}
    if show.state == Show.State.OPEN and not {show.country, EVERYWHERE} & begun:
        raise NotReady(f"No zone has your own country, {show.country}, and orders are being taken; add one.")
