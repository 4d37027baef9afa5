"""The edition as its folder describes it, one row per copy; what backers have ordered is never taken from them."""

from typing import Any

from django.db.models import Max

from campaign.errors import NotReady
from campaign.models import Copy, Edition, Show
from campaign.services.matching import Match, TableChange, match_rows
from campaign.showfolder.rows import EditionRow

FREE = Copy.State.FREE


def import_edition(*, show: Show, row: EditionRow) -> list[TableChange]:
    """
    Make the show's edition what `row` says, with copies 1 to N; a step of the import, in its transaction.

    A new price is for new orders only: each order keeps what was agreed.
    Writes: Edition, Copy.
    Raises: NotReady if an ordered copy or an ordered edition would disappear.
    """
    match = match_rows(table="edition", present=show.editions.all(), wanted=[_wish(show, row)], key=["code"])
    _drop_editions(match)
    edition: Edition = match.rows[0]
    return [match.change, _match_copies(edition)]


def _wish(show: Show, row: EditionRow) -> dict[str, Any]:
    return {
        "show": show,
        "code": row.code,
        "title": row.title,
        "work": show.works.filter(code=row.work_code).first() if row.work_code else None,
        "paper": row.paper,
        "description": row.description,
        "width_mm": row.width_mm,
        "height_mm": row.height_mm,
        "size": row.copies,
        "price_minor": row.price_minor,
        "limit_per_person": row.limit_per_person,
        "make_cost_minor": row.make_minor,
        "pack_cost_minor": row.pack_minor,
        "mass_g": row.mass_g,
        "parcel_width_mm": row.parcel_width_mm,
        "parcel_height_mm": row.parcel_height_mm,
        "parcel_depth_mm": row.parcel_depth_mm,
    }


def _drop_editions(match: Match) -> None:
    for edition in match.leftovers:
        if edition.pledges.exists():
            raise NotReady(
                f"edition, column code: the show has orders for the edition “{edition.code}”, which the folder no "
                f"longer has; write “{edition.code}” again."
            )
        edition.copies.all().delete()
        edition.delete()


def _match_copies(edition: Edition) -> TableChange:
    # A pledge that lapsed or was cancelled gave its copies back, so only free copies ever disappear.
    beyond = Copy.objects.filter(edition=edition, number__gt=edition.size)
    highest_taken = beyond.exclude(state=FREE).aggregate(n=Max("number"))["n"]
    if highest_taken:
        raise NotReady(
            f"edition, column copies: found {edition.size}, but copy {highest_taken} is ordered; "
            f"{highest_taken} or more would do."
        )
    removed, _ = beyond.filter(state=FREE).delete()
    present = set(Copy.objects.filter(edition=edition).values_list("number", flat=True))
    missing = [number for number in range(1, edition.size + 1) if number not in present]
    Copy.objects.bulk_create([Copy(edition=edition, number=number) for number in missing], batch_size=500)
    return TableChange("copies", added=len(missing), removed=removed)
