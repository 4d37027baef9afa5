"""The price book: what materials and services cost, and when that was asked."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from django.db import transaction

from campaign.errors import InUse, NotReady
from campaign.models import Finish, PriceItem, PriceStep, Show, SizePrice
from campaign.services.inputs import free_code, open_inputs


@dataclass(frozen=True, slots=True)
class PriceWish:
    """
    An entry as typed; `price_minor` buys `per_milli` thousandths of the unit, in packs of just that where so sold.

    `steps` are (from so many packs, price of each); `sizes` are (width, height, price) of the size table.
    """

    name: str
    unit: str
    price_minor: int
    per_milli: int = 1000
    mass_g_per_unit: int = 0
    priced_on: date | None = None
    is_sold_in_packs: bool = False
    shelf_milli: int = 0
    steps: tuple[tuple[int, int], ...] = ()
    sizes: tuple[tuple[int, int, int], ...] = ()


_FIELDS = (
    "name", "unit", "price_minor", "per_milli", "mass_g_per_unit", "priced_on", "is_sold_in_packs", "shelf_milli",
)  # fmt: skip


@transaction.atomic(durable=True)
def save_price(*, show: Show, item: PriceItem | None, wish: PriceWish) -> PriceItem:
    """
    Add an entry to the price book, or change one, with its price steps and size table.

    Writes: PriceItem, PriceStep, SizePrice; Show.inputs_version.
    Raises: PlanIsFixed.
    Repeat: the same words again change nothing.
    """
    doing = f"The price of “{wish.name}” was {'changed' if item else 'added'}"
    current = open_inputs(show, doing=doing)
    if item is None:
        taken = set(current.price_items.values_list("code", flat=True))
        item = PriceItem(show=current, code=free_code(wish.name, taken=taken, otherwise="item"))
    for field in _FIELDS:
        setattr(item, field, getattr(wish, field))
    item.full_clean()
    item.save()
    item.steps.all().delete()
    PriceStep.objects.bulk_create(
        PriceStep(item=item, from_packs=from_packs, price_minor=price_minor) for from_packs, price_minor in wish.steps
    )
    item.size_prices.all().delete()
    SizePrice.objects.bulk_create(
        SizePrice(item=item, width_mm=width_mm, height_mm=height_mm, price_minor=price_minor)
        for width_mm, height_mm, price_minor in wish.sizes
    )
    return item


@transaction.atomic(durable=True)
def count_shelf(*, show: Show, shelf_milli: Mapping[str, int]) -> None:
    """
    Set what lies on the shelf, item code → thousandths of its unit; items that are not named keep theirs.

    Writes: PriceItem; Show.inputs_version.
    Raises: PlanIsFixed.
    Repeat: the same count again changes nothing.
    """
    current = open_inputs(show, doing="The shelf was counted")
    for item in current.price_items.filter(code__in=shelf_milli):
        if item.shelf_milli != shelf_milli[item.code]:
            PriceItem.objects.filter(pk=item.pk).update(shelf_milli=shelf_milli[item.code])


@transaction.atomic(durable=True)
def remove_price(*, show: Show, item: PriceItem) -> None:
    """
    Take an entry out of the price book.

    Writes: PriceItem; Show.inputs_version.
    Raises: PlanIsFixed; InUse while a recipe has it; NotReady while somebody gives it.
    Repeat: an entry that is gone stays gone.
    """
    open_inputs(show, doing=f"The price of “{item.name}” was taken out")
    finishes = tuple(Finish.objects.filter(recipe_lines__item=item).distinct().values_list("name", flat=True))
    if finishes:
        raise InUse(what=item.name, used_by=finishes)
    gift = item.gifts_in_kind.first()
    if gift:
        raise NotReady(f"“{item.name}” stays, because {gift.giver} gives it. Take the gift in kind away first.")
    PriceItem.objects.filter(pk=item.pk).delete()
