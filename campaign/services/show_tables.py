"""The tables of a show folder that belong to a draft as well as to an open show: each brought to what its file says."""

from collections.abc import Iterator, Mapping

from campaign.models import BlockedArea, Finish, Picture, PriceItem, RecipeLine, Show, Size, Work
from campaign.services.matching import Match, TableChange, drop_leftovers, match_rows
from campaign.showfolder.rows import ShowFolder, WorkRow

Pictures = Mapping[str, Picture]


def import_walls(*, show: Show, folder: ShowFolder) -> Iterator[TableChange]:
    """
    Walls and what stands in the way on them.

    Writes: Wall, BlockedArea.
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
            }
            for position, row in enumerate(folder.walls)
        ],
        key=["code"],
    )
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
    yield from _settle(walls, blocked)


def import_price_book(*, show: Show, folder: ShowFolder) -> Iterator[TableChange]:
    """
    Price book, finishes with their recipes, and the costs of the show as a whole.

    Writes: PriceItem, Finish, RecipeLine, ShowCost.
    """
    prices = match_rows(
        table="prices",
        present=show.price_items.all(),
        wanted=[
            {
                "show": show,
                "code": row.code,
                "name": row.name,
                "unit": row.unit,
                "price_minor": row.price_minor,
                "per_milli": row.per_milli,
                "mass_g_per_unit": row.mass_g_per_unit,
                "priced_on": row.priced_on,
            }
            for row in folder.price_book
        ],
        key=["code"],
    )
    finishes = match_rows(
        table="finishes",
        present=show.finishes.all(),
        wanted=[
            {
                "show": show,
                "code": row.code,
                "name": row.name,
                "position": position,
                "worth": row.worth,
                "border_mm": row.border_mm,
                "mat_mm": row.mat_mm,
                "moulding_mm": row.moulding_mm,
                "is_printed_at_home": row.is_printed_at_home,
            }
            for position, row in enumerate(folder.finishes)
        ],
        key=["code"],
    )
    costs = match_rows(
        table="show costs",
        present=show.show_costs.all(),
        wanted=[
            {"show": show, "name": row.name, "amount_minor": row.amount_minor, "note": row.note}
            for row in folder.show_costs
        ],
        key=["name"],
    )
    recipes = _recipes(show=show, folder=folder, prices=prices, finishes=finishes)
    # The lines go before the items they point at.
    yield from _settle(prices, finishes, costs, recipes)


def _recipes(*, show: Show, folder: ShowFolder, prices: Match, finishes: Match) -> Match:
    items: dict[str, PriceItem] = {item.code: item for item in prices.rows}
    by_code: dict[str, Finish] = {finish.code: finish for finish in finishes.rows}
    return match_rows(
        table="recipe lines",
        present=RecipeLine.objects.filter(finish__show=show),
        wanted=[
            {
                "finish_id": by_code[row.finish_code].pk,
                "item_id": items[row.item_code].pk,
                "basis": row.basis,
                "quantity_milli": row.quantity_milli,
                "waste_bp": row.waste_bp,
                "position": position,
            }
            for position, row in enumerate(folder.recipe_lines)
        ],
        key=["finish_id", "position"],
    )


def import_works(*, show: Show, folder: ShowFolder, pictures: Pictures) -> Iterator[TableChange]:
    """
    Works, their sizes, and which finishes each may have; `pictures` by work code.

    Writes: Work, Size, Picture (deleted once no work shows it).
    """
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
    yield from _settle(works, sizes)
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
    Levels, and what posting costs.

    Writes: Level, PostageRate.
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
    postage = match_rows(
        table="postage",
        present=show.postage_rates.all(),
        wanted=[
            {
                "show": show,
                "zone": row.zone,
                "countries": " ".join(row.countries),
                "up_to_copies": row.up_to_copies,
                "charge_minor": row.charge_minor,
                "cost_minor": row.cost_minor,
            }
            for row in folder.postage
        ],
        key=["zone", "up_to_copies"],
    )
    yield from _settle(levels, postage)


def _settle(*matches: Match) -> Iterator[TableChange]:
    for match in reversed(matches):
        drop_leftovers(match)
    yield from (match.change for match in matches)
