"""The price book: what materials and services cost, and when that was asked."""

from dataclasses import dataclass
from datetime import date

from django.db import transaction

from campaign.errors import InUse
from campaign.models import Finish, PriceItem, Show
from campaign.services.inputs import free_code, open_inputs


@dataclass(frozen=True, slots=True)
class PriceWish:
    """An entry as typed; `price_minor` buys `per_milli` thousandths of the unit."""

    name: str
    unit: str
    price_minor: int
    per_milli: int = 1000
    mass_g_per_unit: int = 0
    priced_on: date | None = None


@transaction.atomic(durable=True)
def save_price(*, show: Show, item: PriceItem | None, wish: PriceWish) -> PriceItem:
    """
    Add an entry to the price book, or change one.

    Writes: PriceItem; Show.inputs_version.
    Raises: PlanIsFixed.
    Repeat: the same words again change nothing.
    """
    doing = f"The price of “{wish.name}” was {'changed' if item else 'added'}"
    current = open_inputs(show, doing=doing)
    if item is None:
        taken = set(current.price_items.values_list("code", flat=True))
        item = PriceItem(show=current, code=free_code(wish.name, taken=taken, otherwise="item"))
    for field in ("name", "unit", "price_minor", "per_milli", "mass_g_per_unit", "priced_on"):
        setattr(item, field, getattr(wish, field))
    item.full_clean()
    item.save()
    return item


@transaction.atomic(durable=True)
def remove_price(*, show: Show, item: PriceItem) -> None:
    """
    Take an entry out of the price book.

    Writes: PriceItem; Show.inputs_version.
    Raises: PlanIsFixed; InUse while a recipe has it.
    Repeat: an entry that is gone stays gone.
    """
    open_inputs(show, doing=f"The price of “{item.name}” was taken out")
    finishes = tuple(Finish.objects.filter(recipe_lines__item=item).distinct().values_list("name", flat=True))
    if finishes:
        raise InUse(what=item.name, used_by=finishes)
    PriceItem.objects.filter(pk=item.pk).delete()
