"""The price book of a show folder with finishes, show costs and gifts in kind, each brought to what its file says."""

from collections.abc import Iterator, Mapping

from campaign.errors import NotReady
from campaign.models import Finish, GiftInKind, PriceItem, PriceStep, RecipeLine, Show, SizePrice
from campaign.services.matching import Match, TableChange, match_rows, settle
from campaign.showfolder.rows import ShowFolder


def import_price_book(*, show: Show, folder: ShowFolder) -> Iterator[TableChange]:
    """
    Price book with steps and size tables, finishes with their recipes, and the costs of the show as a whole.

    Writes: PriceItem, PriceStep, SizePrice, Finish, RecipeLine, ShowCost.
    Raises: NotReady for an item that the folder has no more and that a gift in kind names.
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
                "is_sold_in_packs": row.is_sold_in_packs,
                "shelf_milli": row.shelf_milli,
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
                "setup_minor": row.setup_minor,
                "least_minor": row.least_minor,
                "lead_days": row.lead_days,
                "depth_mm": row.depth_mm,
                "drop_mm": row.drop_mm,
                "is_glazed": row.is_glazed,
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
    items = {item.code: item for item in prices.rows}
    _keep_given(prices, folder=folder)
    # The lines go before the items they point at.
    yield from settle(prices, finishes, costs, recipes, *_steps_and_sizes(show=show, folder=folder, items=items))


def _steps_and_sizes(*, show: Show, folder: ShowFolder, items: Mapping[str, PriceItem]) -> Iterator[Match]:
    if folder.price_steps is not None:
        yield match_rows(
            table="price steps",
            present=PriceStep.objects.filter(item__show=show),
            wanted=[
                {"item_id": items[row.item_code].pk, "from_packs": row.from_packs, "price_minor": row.price_minor}
                for row in folder.price_steps
            ],
            key=["item_id", "from_packs"],
        )
    if folder.size_prices is not None:
        fields = ["width_mm", "height_mm", "price_minor"]
        yield match_rows(
            table="size prices",
            present=SizePrice.objects.filter(item__show=show),
            wanted=[
                {"item_id": items[row.item_code].pk, **{name: getattr(row, name) for name in fields}}
                for row in folder.size_prices
            ],
            key=["item_id", "width_mm", "height_mm"],
        )


def _keep_given(prices: Match, *, folder: ShowFolder) -> None:
    """A gift in kind that the folder says nothing of must not lose what is given."""
    gifts = GiftInKind.objects.filter(item__in=prices.leftovers).select_related("item")
    if folder.gifts is not None:  # they come to what the folder says, which has none of these items
        gifts.delete()
        return
    gift = gifts.first()
    if gift:
        raise NotReady(f"prices: “{gift.item}” is missing, but {gift.giver} gives it; put it back or end the gift.")


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


def import_gifts(*, show: Show, folder: ShowFolder) -> Iterator[TableChange]:
    """
    Gifts in kind; a folder without their file leaves them as they are.

    Writes: GiftInKind.
    """
    if folder.gifts is None:
        return
    items = {item.code: item.pk for item in show.price_items.all()}
    works = {work.code: work.pk for work in show.works.all()}
    gifts = match_rows(
        table="gifts in kind",
        present=show.gifts_in_kind.all(),
        wanted=[
            {
                "show": show,
                "giver": row.giver,
                "item_id": items[row.item_code],
                "work_id": works[row.work_code] if row.work_code else None,
                "quantity_milli": row.quantity_milli,
                "value_minor": row.value_minor,
                "thanks": row.thanks,
            }
            for row in folder.gifts
        ],
        key=["giver", "item_id", "work_id"],
    )
    yield from settle(gifts)
