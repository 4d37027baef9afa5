"""A show's own words, dates and shares."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from campaign.errors import NotReady, PlanIsFixed
from campaign.models import Show
from campaign.services.plans import touch_inputs

# May change at any time: nothing that was agreed or fixed depends on them.
ALWAYS_OPEN = (
    "title", "statement", "venue_name", "venue_address", "hang_on", "opening_at", "last_day_on", "posting_by_on",
    "commission_bp", "centre_mm", "length_unit",
)  # fmt: skip
# Orders and the plan depend on them: fixed by the close.
UNTIL_CLOSED = (
    "opens_at", "closes_at", "cancel_until_on", "hold_days", "reminder_days", "set_aside_bp", "contingency_bp",
    "min_gap_mm", "printer_seconds", "printer_seconds_per_m2",
)  # fmt: skip
PLAN_INPUTS = ("min_gap_mm", "printer_seconds", "printer_seconds_per_m2")


@transaction.atomic(durable=True)
def change_settings(*, show: Show, values: Mapping[str, Any]) -> Show:
    """
    Change what `values` names; fields outside ALWAYS_OPEN and UNTIL_CLOSED are refused as a mistake of the caller.

    Set-aside holds for orders from now on: what was agreed with earlier ones stays.
    Writes: Show.
    Raises: PlanIsFixed for what the close has fixed; NotReady for dates that cannot follow each other.
    Repeat: the same values again change nothing.
    """
    unknown = set(values) - set(ALWAYS_OPEN) - set(UNTIL_CLOSED)
    assert not unknown, f"not a setting: {unknown}"
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    changed = {name: value for name, value in values.items() if getattr(current, name) != value}
    if current.closed_at is not None and set(changed) & set(UNTIL_CLOSED):
        raise PlanIsFixed(closed_at=current.closed_at.astimezone(current.zone))
    for name, value in changed.items():
        setattr(current, name, value)
    _check_dates(current)
    if changed:
        current.full_clean()
        current.save(update_fields=list(changed))
    if set(changed) & set(PLAN_INPUTS):
        touch_inputs(current)
    return current


def _check_dates(show: Show) -> None:
    if show.opens_at >= show.closes_at:
        raise NotReady("Orders must open before they close. Nothing was changed.")
    opening_on = show.opening_at.astimezone(show.zone).date()
    if not show.hang_on <= opening_on <= show.last_day_on:
        raise NotReady("Hanging day, opening and last day must follow each other in this order. Nothing was changed.")
    if show.closes_at.astimezone(show.zone).date() > show.hang_on:
        raise NotReady("Orders must close by hanging day: the plan is fixed then. Nothing was changed.")
