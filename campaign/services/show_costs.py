"""What the show as a whole costs, paid once if anything hangs."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from campaign.models import Show, ShowCost
from campaign.services.inputs import open_inputs


@dataclass(frozen=True, slots=True)
class CostWish:
    """A cost of the show as typed."""

    name: str
    amount_minor: int
    note: str = ""


@transaction.atomic(durable=True)
def set_show_costs(*, show: Show, costs: Sequence[CostWish]) -> list[ShowCost]:
    """
    Replace the costs of the show as a whole.

    Writes: ShowCost; Show.inputs_version.
    Raises: PlanIsFixed.
    Repeat: the same costs again change nothing a reader sees.
    """
    current = open_inputs(show, doing="The costs of the show as a whole were changed")
    current.show_costs.all().delete()
    return ShowCost.objects.bulk_create(
        ShowCost(show=current, name=cost.name, amount_minor=cost.amount_minor, note=cost.note) for cost in costs
    )
