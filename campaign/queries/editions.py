"""The editions and the postage of a show as the studio's forms begin with them, and what is odd about them."""

from collections.abc import Iterator
from typing import Any

from django.db.models import Count, Q

from campaign.models import Copy, Edition, Show


def list_editions(show: Show) -> list[Edition]:
    """The editions, each with `copies_free` and `copies_taken`. One query."""
    free = Count("copies", filter=Q(copies__state=Copy.State.FREE))
    taken = Count("copies", filter=~Q(copies__state=Copy.State.FREE))
    return list(show.editions.annotate(copies_free=free, copies_taken=taken))


_FIELDS = (
    "title", "paper", "description", "size", "price_minor", "limit_per_person", "make_cost_minor", "pack_cost_minor",
    "mass_g", "parcel_width_mm", "parcel_height_mm", "parcel_depth_mm",
)  # fmt: skip


def edition_start(edition: Edition | None) -> dict[str, Any]:
    """What stands in the form of an edition at first."""
    if edition is None:
        return {"limit_per_person": 2}
    start = {name: getattr(edition, name) for name in _FIELDS}
    work_code = edition.work.code if edition.work else ""
    return start | {"print_size": (edition.width_mm, edition.height_mm), "work_code": work_code}


def work_choices(show: Show) -> list[tuple[str, str]]:
    """The works an edition may be a print of, as form choices."""
    return list(show.works.values_list("code", "title"))


def list_postage(show: Show) -> list[dict[str, Any]]:
    """What stands in the table of postage at first."""
    return [
        {
            "zone": rate.zone, "countries": rate.country_codes, "up_to_copies": rate.up_to_copies,
            "charge_minor": rate.charge_minor, "cost_minor": rate.cost_minor,
        }
        for rate in show.postage_rates.all()
    ]  # fmt: skip


def postage_notes(show: Show) -> list[str]:
    """What is odd about the postage as it is kept, a sentence each; nothing of it is refused."""
    return list(_notes(show))


def _notes(show: Show) -> Iterator[str]:
    rates = list(show.postage_rates.all())
    limit = max((edition.limit_per_person for edition in show.editions.all()), default=0)
    zones = dict.fromkeys(rate.zone for rate in rates)
    for zone in zones:
        most = max(rate.up_to_copies for rate in rates if rate.zone == zone)
        if most < limit:
            yield f"One person may order {limit} copies, but the zone “{zone}” ends at {most}."
    for rate in rates:
        if rate.charge_minor < rate.cost_minor:
            yield f"“{rate}” costs more than the backer pays; the rest comes out of the wall money."
    codes = {code for rate in rates for code in rate.country_codes}
    if not {show.country, "*"} & codes:
        yield "No zone has your own country yet, so nobody there can order."
