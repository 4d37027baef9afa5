"""The editions and the postage of a show as the studio's forms begin with them, and what is odd about them."""

from collections.abc import Iterator
from typing import Any

from django.db.models import Count, IntegerField, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from campaign.measures.weights import format_weight
from campaign.measures.words import count_of
from campaign.models import Copy, Edition, Show, Waiter, free_to_take


def with_stock(editions: QuerySet[Edition]) -> QuerySet[Edition]:
    """Each edition with `copies_free`, those that can be ordered now, and `people_waiting` for one to come back."""
    free = Copy.objects.filter(free_to_take())
    waiting = Waiter.objects.filter(state=Waiter.State.WAITING)
    return editions.annotate(copies_free=_count_of(free), people_waiting=_count_of(waiting))


def _count_of(rows: QuerySet[Any]) -> Coalesce:
    """How many of `rows` belong to the edition: counted by themselves, since joined they would multiply each other."""
    own = rows.filter(edition=OuterRef("pk")).order_by().values("edition").annotate(n=Count("pk")).values("n")
    return Coalesce(Subquery(own, output_field=IntegerField()), 0)


def count_free(show: Show) -> int:
    """Copies of all editions of `show` that can be ordered now. One query."""
    return Copy.objects.filter(free_to_take(), edition__show=show).count()


def list_editions(show: Show) -> list[Edition]:
    """The editions, each with its stock and `copies_taken`. One query."""
    taken = Copy.objects.exclude(state__in=[Copy.State.FREE, Copy.State.PROOF])
    return list(with_stock(show.editions.all()).annotate(copies_taken=_count_of(taken)))


_FIELDS = (
    "title", "paper", "description", "size", "price_minor", "limit_per_person", "make_cost_minor", "pack_cost_minor",
    "mass_g", "parcel_width_mm", "parcel_height_mm", "parcel_depth_mm", "proofs", "position", "sold_from_at",
    "sold_until_at",
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
            "zone": rate.zone, "countries": rate.country_codes, "up_to_copies": rate.up_to_copies or None,
            "up_to_g": rate.up_to_g or None, "charge_minor": rate.charge_minor, "cost_minor": rate.cost_minor,
            "valid_from_on": rate.valid_from_on,
        }
        for rate in show.postage_rates.all()
    ]  # fmt: skip


def list_taxes(show: Show) -> list[dict[str, Any]]:
    """What stands in the table of taxes at first."""
    names = ("name", "rate_bp", "is_added", "covers_postage", "valid_from_on")
    return [
        {name: getattr(rate, name) for name in names} | {"countries": rate.country_codes}
        for rate in show.tax_rates.all()
    ]


def postage_notes(show: Show) -> list[str]:
    """What is odd about the postage as it is kept, a sentence each; nothing of it is refused."""
    return list(_notes(show))


def _notes(show: Show) -> Iterator[str]:
    rates, editions = list(show.postage_rates.all()), list(show.editions.all())
    limit = max((edition.limit_per_person for edition in editions), default=0)
    weight_g = max((edition.mass_g * edition.limit_per_person for edition in editions), default=0)
    for zone in dict.fromkeys(rate.zone for rate in rates):
        most_copies = max(rate.up_to_copies for rate in rates if rate.zone == zone)
        most_g = max(rate.up_to_g for rate in rates if rate.zone == zone)
        if not most_g and most_copies < limit:
            yield f"One person may order {limit} copies, but the zone “{zone}” ends at {most_copies}."
        if most_g and most_g < weight_g:
            most, end = format_weight(weight_g), format_weight(most_g)
            yield f"One person may order {most}, but the zone “{zone}” ends at {end}."
    if any(rate.up_to_g for rate in rates):
        for edition in editions:
            if not edition.mass_g:
                yield f"Some postage goes by weight, but “{edition.title}” has none yet, so it counts as nothing."
    for rate in rates:
        if rate.charge_minor < rate.cost_minor:
            yield f"“{rate}” costs more than the backer pays; the rest comes out of the wall money."
    codes = {code for rate in rates for code in rate.country_codes}
    if not {show.country, "*"} & codes:
        yield "No zone has your own country yet, so nobody there can order."


MOST_PROOFS_PERCENT = 10  # common practice, no source


def edition_notes(edition: Edition | None) -> list[str]:
    """What is unusual about an edition as it is kept, a sentence each; nothing of it is refused."""
    if edition is None or edition.proofs * 100 <= edition.size * MOST_PROOFS_PERCENT:
        return []
    proofs = count_of(edition.proofs, "artist’s proof")
    copies = count_of(edition.size, "copy", plural="copies")
    return [
        f"{proofs} for {copies}: a tenth at most is common practice. More make the edition look larger than it says."
    ]
