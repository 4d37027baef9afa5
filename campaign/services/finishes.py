"""Finishes: how works are presented, and the recipe that says what each takes from the price book."""

from dataclasses import dataclass

from django.db import transaction
from django.db.models import Max

from campaign.errors import InUse
from campaign.models import Finish, RecipeLine, Show
from campaign.services.inputs import free_code, open_inputs


@dataclass(frozen=True, slots=True)
class RecipeWish:
    """One cost line as typed: so many thousandths of an item per measure, and the waste in 1/100 %."""

    item_code: str
    basis: str
    quantity_milli: int = 1000
    waste_bp: int = 0


@dataclass(frozen=True, slots=True)
class FinishWish:
    """
    A finish as typed; border, mat and moulding are per side.

    `setup_minor` is paid once, `least_minor` is the least that its works come to, `lead_days` are working days from
    print to finished work, `drop_mm` is from the top edge down to the hook's bearing point.
    """

    name: str
    worth: int
    border_mm: int = 0
    mat_mm: int = 0
    moulding_mm: int = 0
    is_printed_at_home: bool = True
    setup_minor: int = 0
    least_minor: int = 0
    lead_days: int = 0
    depth_mm: int = 0
    drop_mm: int = 0
    is_glazed: bool = False
    lines: tuple[RecipeWish, ...] = ()


_FIELDS = (
    "name", "worth", "border_mm", "mat_mm", "moulding_mm", "is_printed_at_home", "setup_minor", "least_minor",
    "lead_days", "depth_mm", "drop_mm", "is_glazed",
)  # fmt: skip


@transaction.atomic(durable=True)
def save_finish(*, show: Show, finish: Finish | None, wish: FinishWish) -> Finish:
    """
    Add a finish at the end of the list, or change one with its whole recipe.

    Writes: Finish, RecipeLine; Show.inputs_version.
    Raises: PlanIsFixed.
    Repeat: the same words again change nothing.
    """
    doing = f"The finish “{wish.name}” was {'changed' if finish else 'added'}"
    current = open_inputs(show, doing=doing)
    if finish is None:
        taken = set(current.finishes.values_list("code", flat=True))
        highest = current.finishes.aggregate(highest=Max("position"))["highest"]
        code = free_code(wish.name, taken=taken, otherwise="finish")
        finish = Finish(show=current, code=code, position=(highest or 0) + 1)
    for field in _FIELDS:
        setattr(finish, field, getattr(wish, field))
    finish.full_clean()
    finish.save()
    items = {item.code: item for item in current.price_items.all()}
    finish.recipe_lines.all().delete()
    RecipeLine.objects.bulk_create(
        RecipeLine(
            finish=finish, item=items[line.item_code], basis=line.basis, quantity_milli=line.quantity_milli,
            waste_bp=line.waste_bp, position=position,
        )
        for position, line in enumerate(wish.lines)
    )  # fmt: skip
    return finish


@transaction.atomic(durable=True)
def remove_finish(*, show: Show, finish: Finish) -> None:
    """
    Take a finish out of the list.

    Writes: Finish, RecipeLine; Show.inputs_version.
    Raises: PlanIsFixed; InUse while a work names it: without it the work would take any finish.
    Repeat: a finish that is gone stays gone.
    """
    open_inputs(show, doing=f"The finish “{finish.name}” was taken off the list")
    works = tuple(finish.works.values_list("title", flat=True))
    if works:
        raise InUse(what=finish.name, used_by=works)
    Finish.objects.filter(pk=finish.pk).delete()
