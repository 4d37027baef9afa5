"""Works that could hang, the sizes each is offered in, and their pictures."""

from dataclasses import dataclass

from django.db import transaction
from django.db.models import Max

from campaign import pictures
from campaign.errors import InUse
from campaign.models import Picture, Show, Size, Work
from campaign.services.inputs import free_code, open_inputs


@dataclass(frozen=True, slots=True)
class SizeWish:
    """A print size on offer; 100 % is neutral."""

    width_mm: int
    height_mm: int
    factor_percent: int = 100


WORDS = (
    "title", "need", "year", "medium", "series", "alt_text", "must_hang", "coverage_percent", "pinned_middle_mm",
    "pinned_row", "net_minor",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class WorkWish:
    """
    A work as typed; no finish codes means any finish will do, no wall code that it may hang anywhere.

    `pinned_middle_mm` is from the wall's left end; `net_minor` is to be left of it after the gallery's share.
    """

    title: str
    need: int
    sizes: tuple[SizeWish, ...]
    finish_codes: tuple[str, ...] = ()
    year: str = ""
    medium: str = ""
    series: str = ""
    alt_text: str = ""
    must_hang: bool = False
    coverage_percent: int = 100
    pinned_wall_code: str = ""
    pinned_middle_mm: int | None = None
    pinned_row: int = 0
    net_minor: int | None = None


@transaction.atomic(durable=True)
def save_work(*, show: Show, work: Work | None, wish: WorkWish, picture: pictures.Picture | None = None) -> Work:
    """
    Add a work at the end of the list, or change one; without a new `picture` the old one stays.

    Writes: Work, Size, Picture; Show.inputs_version.
    Raises: PlanIsFixed.
    Repeat: the same words again change nothing.
    """
    doing = f"The work “{wish.title}” was {'changed' if work else 'added'}"
    current = open_inputs(show, doing=doing)
    if work is None:
        taken = set(current.works.values_list("code", flat=True))
        highest = current.works.aggregate(highest=Max("position"))["highest"]
        code = free_code(wish.title, taken=taken, otherwise="work")
        work = Work(show=current, code=code, position=(highest or 0) + 1)
    for field in WORDS:
        setattr(work, field, getattr(wish, field))
    work.pinned_wall = current.walls.filter(code=wish.pinned_wall_code).first() if wish.pinned_wall_code else None
    if work.pinned_wall is None:  # also when the wall was taken out while this was typed
        work.pinned_middle_mm, work.pinned_row = None, 0
    if picture:
        work.picture = _keep_picture(picture)
    work.full_clean()
    work.save()
    chosen = current.finishes.filter(code__in=wish.finish_codes)
    work.finishes.set([] if len(wish.finish_codes) == current.finishes.count() else chosen)
    set_sizes(work, sizes=wish.sizes)
    return work


@transaction.atomic(durable=True)
def remove_work(*, show: Show, work: Work) -> None:
    """
    Take a work out of the show's list; its picture is kept for papers that were printed before.

    Writes: Work, Size; Show.inputs_version.
    Raises: PlanIsFixed; InUse while an edition is a print of it.
    Repeat: a work that is gone stays gone.
    """
    open_inputs(show, doing=f"The work “{work.title}” was taken off the list")
    editions = tuple(work.editions.values_list("title", flat=True))
    if editions:
        raise InUse(what=work.title, used_by=editions)
    Work.objects.filter(pk=work.pk).delete()


def set_sizes(work: Work, *, sizes: tuple[SizeWish, ...]) -> None:
    """Make `sizes` the sizes of a work, inside the caller's edit; those that stay keep their codes."""
    wanted = {f"{size.width_mm}x{size.height_mm}": size for size in sizes}
    known = {f"{size.width_mm}x{size.height_mm}": size for size in work.sizes.all()}
    for measures, size in known.items():
        if measures not in wanted:
            size.delete()
    taken = {size.code for measures, size in known.items() if measures in wanted}
    for measures, wish in wanted.items():
        size = known.get(measures) or Size(work=work, code=free_code(measures, taken=taken, otherwise="size"))
        taken.add(size.code)
        size.width_mm, size.height_mm, size.factor_percent = wish.width_mm, wish.height_mm, wish.factor_percent
        size.save()


def _keep_picture(picture: pictures.Picture) -> Picture:
    """The row of a checked picture: the one there is if the same file was handed in before."""
    known = Picture.objects.filter(source_sha256=picture.source_sha256).first()
    known = known or Picture.objects.filter(sha256=picture.sha256).first()
    if known:
        return known
    return Picture.objects.create(
        source_sha256=picture.source_sha256,
        sha256=picture.sha256,
        webp=picture.webp,
        thumbnail_webp=pictures.thumbnail(picture).webp,
        width_px=picture.width_px,
        height_px=picture.height_px,
    )
