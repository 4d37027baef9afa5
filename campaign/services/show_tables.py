"""Walls, works and promises of a show folder, each brought to what its file says; costs are in `cost_tables`."""

from collections.abc import Iterator, Mapping
from dataclasses import asdict

from campaign.models import BlockedArea, Picture, Show, Size, Work
from campaign.services.matching import TableChange, match_rows, settle
from campaign.services.postage import PostageWish, match_postage
from campaign.services.taxes import TaxWish, match_taxes
from campaign.showfolder.rows import ShowFolder, WorkRow

Pictures = Mapping[str, Picture]


def import_walls(*, show: Show, folder: ShowFolder) -> Iterator[TableChange]:
    """
    Walls and what stands in the way on them; a work pinned to a wall that goes is pinned no more.

    Writes: Wall, BlockedArea, Work.
    """
    walls = match_rows(
        table="walls",
        present=show.walls.all(),
        wanted=[
            {
                "show": show,
                "code": row.code,
                "name": row.name,
                "position": position,
                "width_mm": row.width_mm,
                "height_mm": row.height_mm,
                "centre_mm": row.centre_mm,
                "end_margin_mm": row.end_margin_mm,
                "material": row.material,
                "load_note": row.load_note,
                "rows": row.rows,
                "row_height_mm": row.row_height_mm,
                "row_gap_mm": row.row_gap_mm,
                "min_gap_mm": row.min_gap_mm,
            }
            for position, row in enumerate(folder.walls)
        ],
        key=["code"],
    )
    # A place without a wall is refused by the database, so both go at once.
    Work.objects.filter(pinned_wall__in=walls.leftovers).update(pinned_wall=None, pinned_middle_mm=None)
    by_code = {wall.code: wall for wall in walls.rows}
    fields = ["name", "kind", "x_mm", "y_mm", "width_mm", "height_mm"]
    blocked = match_rows(
        table="blocked areas",
        present=BlockedArea.objects.filter(wall__show=show),
        wanted=[
            {"wall_id": by_code[row.wall_code].pk, **{name: getattr(row, name) for name in fields}}
            for row in folder.blocked_areas
        ],
        key=["wall_id", *fields],
    )
    yield from settle(walls, blocked)


def import_works(*, show: Show, folder: ShowFolder, pictures: Pictures) -> Iterator[TableChange]:
    """
    Works, their sizes, and which finishes each may have; `pictures` by work code.

    Writes: Work, Size, Picture (deleted once no work shows it).
    """
    walls = {wall.code: wall for wall in show.walls.all()}
    shown_before = {work.picture_id for work in show.works.all() if work.picture_id}
    works = match_rows(
        table="works",
        present=show.works.all(),
        wanted=[
            {
                "show": show,
                "code": row.code,
                "title": row.title,
                "year": row.year,
                "medium": row.medium,
                "series": row.series,
                "alt_text": row.alt,
                "need": row.need,
                "position": position,
                "picture": pictures.get(row.code),
                "must_hang": row.must_hang,
                "coverage_percent": row.coverage_percent,
                "pinned_wall": walls.get(row.pinned_wall_code),
                "pinned_middle_mm": row.pinned_middle_mm,
                "pinned_row": row.pinned_row,
                "net_minor": row.net_minor,
            }
            for position, row in enumerate(folder.works)
        ],
        key=["code"],
    )
    by_code = {work.code: work for work in works.rows}
    sizes = match_rows(
        table="sizes",
        present=Size.objects.filter(work__show=show),
        wanted=[
            {
                "work_id": by_code[row.work_code].pk,
                "code": row.code,
                "width_mm": row.width_mm,
                "height_mm": row.height_mm,
                "factor_percent": row.factor_percent,
            }
            for row in folder.sizes
        ],
        key=["work_id", "code"],
    )
    finishes = {finish.code: finish.pk for finish in show.finishes.all()}
    moved = sum(_match_finishes(by_code[row.code], row, finishes=finishes) for row in folder.works)
    yield from settle(works, sizes)
    yield TableChange("finishes of works", changed=moved)
    Picture.objects.filter(pk__in=shown_before, works=None).delete()


def _match_finishes(work: Work, row: WorkRow, *, finishes: Mapping[str, int]) -> bool:
    # All of them is kept as none chosen, so that a finish added later is offered too.
    wanted = {finishes[code] for code in row.finish_codes}
    wanted = set() if len(wanted) == len(finishes) else wanted
    if wanted == set(work.finishes.values_list("pk", flat=True)):
        return False
    work.finishes.set(wanted)
    return True


def import_promises(*, show: Show, folder: ShowFolder) -> Iterator[TableChange]:
    """
    Levels, what posting costs, and taxes where the folder speaks of them.

    Writes: Level, PostageRate, TaxRate.
    Raises: NotReady for taxes that contradict each other.
    """
    levels = match_rows(
        table="levels",
        present=show.levels.all(),
        wanted=[
            {"show": show, "name": row.name, "promise": row.promise, "money_minor": row.money_minor}
            for row in folder.levels
        ],
        key=["money_minor"],
    )
    yield from settle(levels)
    rates = [PostageWish(**asdict(row)) for row in folder.postage]
    yield match_postage(show, rates=rates, zones={row.zone: row.countries for row in folder.postage})
    if folder.taxes is not None:
        yield match_taxes(show, rates=[TaxWish(**asdict(row)) for row in folder.taxes])
