"""What is counted over the whole show: supplies with their packs and shelf, and what finishes charge beside works."""

from collections.abc import Iterable

from campaign.planning.inputs import FinishTerms, Pack, Supply
from campaign.planning.specs import FinishSpec, PriceItem


def supplies_for(items: Iterable[PriceItem]) -> tuple[Supply, ...]:
    """
    The supplies among the items of a price book, in their order; the other items are paid with each work.

    >>> [supply.code for supply in supplies_for([PriceItem("hook", "Hook", "piece", 20)])]
    []
    """
    return tuple(_supply(item) for item in items if item.is_supply)


def terms_for(finishes: Iterable[FinishSpec]) -> tuple[FinishTerms, ...]:
    """Set-up and least charge of every finish, in their order."""
    return tuple(
        FinishTerms(code=finish.code, name=finish.name, setup_minor=finish.setup_minor, least_minor=finish.least_minor)
        for finish in finishes
    )


def _supply(item: PriceItem) -> Supply:
    pack_micro = item.per_milli * 1000
    shelf_micro = item.shelf_milli * 1000
    if not item.is_sold_in_packs:
        return Supply(item.code, item.name, item.unit, shelf_micro, price_minor=item.price_minor, per_micro=pack_micro)
    offers = [(1, item.price_minor), *((step.from_packs, step.price_minor) for step in item.steps)]
    packs = tuple(Pack(pack_micro, price, from_count) for from_count, price in sorted(offers))
    return Supply(item.code, item.name, item.unit, shelf_micro, packs=packs)
