"""The print that is ordered ahead, one row per copy; what backers were told and ordered is never taken from them."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max, ProtectedError, QuerySet

from campaign.errors import EditionIsLimited, NotReady
from campaign.models import Copy, Edition, Pledge, Show, free_to_take
from campaign.services.inputs import free_code
from campaign.services.matching import Match, TableChange, match_rows, update_row
from campaign.services.plans import touch_inputs
from campaign.showfolder.rows import EditionRow

PROOF = Copy.State.PROOF
# Whole editions are printed on the show's own printer time.
PLAN_INPUTS = {"width_mm", "height_mm", "size"}
# Words and weights may be put right while the prints are packed; the rest is what people ordered.
STILL_OPEN_AFTER_CLOSE = {
    "title", "work", "paper", "description", "mass_g", "parcel_width_mm", "parcel_height_mm", "parcel_depth_mm",
    "proofs", "position",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class EditionWish:
    """
    An edition as typed; `size` is how many copies there will ever be, `work_code` empty for a print of its own.

    `proofs` are artist's proofs, outside that number and never sold. `sold_from_at` and `sold_until_at` None for as
    long as the campaign takes orders.
    """

    title: str
    width_mm: int
    height_mm: int
    size: int
    price_minor: int
    limit_per_person: int
    make_cost_minor: int = 0
    pack_cost_minor: int = 0
    paper: str = ""
    description: str = ""
    work_code: str = ""
    mass_g: int = 0
    parcel_width_mm: int = 0
    parcel_height_mm: int = 0
    parcel_depth_mm: int = 0
    proofs: int = 0
    position: int = 0
    sold_from_at: datetime | None = None
    sold_until_at: datetime | None = None


@transaction.atomic(durable=True)
def save_edition(*, show: Show, edition: Edition | None, wish: EditionWish) -> Edition:
    """
    Add an edition to `show` or change one; copies are made and taken away with its size.

    A new price, cost or limit is for new orders only: each order keeps what was agreed.
    Writes: Edition, Copy; Show.inputs_version.
    Raises: EditionIsLimited for more copies than were announced; NotReady for fewer than are ordered, for another size
        of the print once somebody has ordered it, for times that end before they begin, and for what the close fixed.
    Repeat: the same words again change nothing.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    values: dict[str, Any] = asdict(wish)
    work_code = values.pop("work_code")
    check_times(wish.title, start=wish.sold_from_at, end=wish.sold_until_at)
    values["work"] = current.works.filter(code=work_code).first() if work_code else None
    if edition is None:
        _refuse_if_closed(current)
        taken = set(current.editions.values_list("code", flat=True))
        edition = Edition(show=current, code=free_code(wish.title, taken=taken, otherwise="print"), **values)
        edition.full_clean()
        edition.save(force_insert=True)
        changed = PLAN_INPUTS
    else:
        edition = Edition.objects.select_for_update(no_key=True).get(pk=edition.pk)
        changed = {name for name, value in values.items() if getattr(edition, name) != value}
        if changed - STILL_OPEN_AFTER_CLOSE:
            _refuse_if_closed(current)
        check_announced(current, edition=edition, size=wish.size, width_mm=wish.width_mm, height_mm=wish.height_mm)
        update_row(edition, values)
        edition.full_clean()
    _match_copies(edition)
    if changed & PLAN_INPUTS:
        touch_inputs(current)
    return edition


@transaction.atomic(durable=True)
def remove_edition(*, show: Show, edition: Edition) -> None:
    """
    Take an edition away that nobody has ever ordered.

    Writes: Edition, Copy; Show.inputs_version.
    Raises: NotReady for an edition with orders, ended ones too, or with marks in the register, for the only print of a
        published page, and once the campaign is closed.
    Repeat: an edition that is gone stays gone.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    _refuse_if_closed(current)
    if edition.lines.exists():
        raise NotReady(f"“{edition.title}” stays: it has been ordered, and the books name it. Nothing was changed.")
    if current.state != Show.State.DRAFT and not current.editions.exclude(pk=edition.pk).exists():
        raise NotReady("The page is public and this is its only print. Add another one first. Nothing was changed.")
    _drop(Copy.objects.filter(edition=edition), edition=edition)
    Edition.objects.filter(pk=edition.pk).delete()
    touch_inputs(current)


def check_times(title: str, *, start: datetime | None, end: datetime | None) -> None:
    """Raises: NotReady where an edition's own time to order ends before it begins."""
    if start and end and end <= start:
        raise NotReady(f"“{title}” could be ordered until a moment that comes before the first. Put the times right.")


def check_announced(show: Show, *, edition: Edition, size: int, width_mm: int, height_mm: int) -> None:
    """
    What the public was told of an edition is kept: it never grows once published, and its print keeps its measures
    once somebody has ordered it.

    Raises: EditionIsLimited, NotReady.
    """
    if show.state != Show.State.DRAFT and size > edition.size:
        raise EditionIsLimited(title=edition.title, announced=edition.size, wanted=size)
    is_resized = (width_mm, height_mm) != (edition.width_mm, edition.height_mm)
    if is_resized and edition.lines.filter(pledge__state__in=Pledge.LIVE).exists():
        raise NotReady(
            f"“{edition.title}” has been ordered in its size of {edition.width_mm} × {edition.height_mm} mm and keeps "
            "it. Nothing was changed."
        )


def _refuse_if_closed(show: Show) -> None:
    if show.closed_at is not None:
        raise NotReady(
            f"The campaign closed on {show.closed_at.astimezone(show.zone):%-d %B %Y}; price, measures and number of "
            "copies stay what people ordered by. Nothing was changed."
        )


def import_editions(*, show: Show, rows: Sequence[EditionRow]) -> list[TableChange]:
    """
    Make the show's editions what the rows say, each with copies 1 to N; a step of the import, in its transaction.

    A new price is for new orders only: each order keeps what was agreed.
    Writes: Edition, Copy.
    Raises: NotReady if an ordered copy or an ordered edition would disappear; EditionIsLimited for more copies than
        were announced.
    """
    known = {edition.code: edition for edition in show.editions.all()}
    for row in rows:
        check_times(row.title, start=row.sold_from_at, end=row.sold_until_at)
        if row.code in known:
            check_announced(
                show, edition=known[row.code], size=row.copies, width_mm=row.width_mm, height_mm=row.height_mm
            )
    wanted = [_wish(show, row, position=position) for position, row in enumerate(rows)]
    match = match_rows(table="edition", present=show.editions.all(), wanted=wanted, key=["code"])
    _drop_editions(match)
    copies = [_match_copies(edition) for edition in match.rows]
    added, removed = sum(change.added for change in copies), sum(change.removed for change in copies)
    return [match.change, TableChange("copies", added=added, removed=removed)]


def _wish(show: Show, row: EditionRow, *, position: int) -> dict[str, Any]:
    return {
        "show": show,
        "position": position,
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
        "proofs": row.proofs,
        "sold_from_at": row.sold_from_at,
        "sold_until_at": row.sold_until_at,
    }


def _drop_editions(match: Match) -> None:
    for edition in match.leftovers:
        if edition.lines.exists():
            raise NotReady(
                f"edition, column code: the show has orders for the edition “{edition.code}”, which the folder no "
                f"longer has; write “{edition.code}” again."
            )
        _drop(edition.copies.all(), edition=edition)
        edition.delete()


def _match_copies(edition: Edition) -> TableChange:
    proofs = _match_proofs(edition)
    # A pledge that lapsed or was cancelled gave its copies back, so only free copies ever disappear; not those that
    # lie in a parcel from before their order ended.
    sold = Copy.objects.filter(edition=edition).exclude(state=PROOF)
    beyond = sold.filter(number__gt=edition.size)
    highest_taken = beyond.exclude(free_to_take()).aggregate(n=Max("number"))["n"]
    if highest_taken:
        raise NotReady(
            f"edition, copies: found {edition.size}, but copy {highest_taken} is ordered; "
            f"{highest_taken} or more would do."
        )
    removed = _drop(beyond.filter(free_to_take()), edition=edition)
    present = set(sold.values_list("number", flat=True))
    missing = [number for number in range(1, edition.size + 1) if number not in present]
    Copy.objects.bulk_create([Copy(edition=edition, number=number) for number in missing], batch_size=500)
    return TableChange("copies", added=len(missing) + proofs.added, removed=removed + proofs.removed)


def _drop(copies: QuerySet[Copy], *, edition: Edition) -> int:
    """Delete copies of which nothing was ever said; what the register tells of one stays told."""
    try:
        return copies.delete()[0]
    except ProtectedError as error:
        raise NotReady(
            f"The register of “{edition.code}” tells of a copy or a proof that would go: it was printed, signed or "
            "spoiled once. Leave at least as many as there were."
        ) from error


def _match_proofs(edition: Edition) -> TableChange:
    """Artist's proofs 1 to `edition.proofs`, in a count of their own; nobody has one, so any unmarked may go."""
    kept = Copy.objects.filter(edition=edition, state=PROOF)
    removed = _drop(kept.filter(number__gt=edition.proofs), edition=edition)
    present = set(kept.values_list("number", flat=True))
    missing = [number for number in range(1, edition.proofs + 1) if number not in present]
    Copy.objects.bulk_create(Copy(edition=edition, number=number, state=PROOF) for number in missing)
    return TableChange("proofs", added=len(missing), removed=removed)
