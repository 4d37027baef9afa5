"""Gifts in kind: things and work given instead of money."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from campaign.errors import NotReady
from campaign.models import GiftInKind, PriceItem, RecipeLine, Show
from campaign.services.inputs import open_inputs

_BY_SIZE = ("print_size", "outer_size")


@dataclass(frozen=True, slots=True)
class GiftWish:
    """
    A gift as typed: so much of an item for the whole show, or the item for one work; `thanks` empty: not named.

    `value_minor` is what it is worth as the giver says, in minor units; None where nobody said.
    """

    giver: str
    item_code: str
    quantity_milli: int = 0
    work_code: str = ""
    value_minor: int | None = None
    thanks: str = ""


@transaction.atomic(durable=True)
def set_gifts(*, show: Show, gifts: Sequence[GiftWish]) -> list[GiftInKind]:
    """
    Replace the gifts in kind.

    Writes: GiftInKind; Show.inputs_version.
    Raises: PlanIsFixed; NotReady for a quantity of something that is priced by size alone, which has no shelf.
    Repeat: the same gifts again change nothing a reader sees.
    """
    current = open_inputs(show, doing="The gifts in kind were changed")
    items = {item.code: item for item in current.price_items.all()}
    works = {work.code: work for work in current.works.all()}
    for gift in gifts:
        if gift.quantity_milli and _goes_by_size(items[gift.item_code]):
            raise NotReady(
                f"“{items[gift.item_code]}” is priced by size, so a number of it cannot be reckoned with. "
                "Name the work that it is given for instead, once for each."
            )
    current.gifts_in_kind.all().delete()
    return GiftInKind.objects.bulk_create(
        GiftInKind(
            show=current, giver=gift.giver, item=items[gift.item_code], work=works.get(gift.work_code),
            quantity_milli=gift.quantity_milli, value_minor=gift.value_minor, thanks=gift.thanks,
        )
        for gift in gifts
    )  # fmt: skip


def _goes_by_size(item: PriceItem) -> bool:
    bases = set(RecipeLine.objects.filter(item=item).values_list("basis", flat=True))
    return bool(bases) and bases <= set(_BY_SIZE)
