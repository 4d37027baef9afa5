"""A show's own words, dates and shares."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from campaign.errors import NotReady, PlanIsFixed
from campaign.models import Show
from campaign.services.plans import touch_inputs
from campaign.services.setting_names import PLAN_INPUTS, SETTINGS, UNTIL_CLOSED
from campaign.services.undo import keep_step


@transaction.atomic(durable=True)
def change_settings(*, show: Show, values: Mapping[str, Any]) -> Show:
    """
    Change what `values` names; fields that are no settings are refused as a mistake of the caller.

    Set-aside holds for orders from now on: what was agreed with earlier ones stays.
    Writes: Show; LastStep.
    Raises: PlanIsFixed for what the close has fixed; NotReady for dates that cannot follow each other.
    Repeat: the same values again change nothing.
    """
    unknown = set(values) - set(SETTINGS)
    assert not unknown, f"not a setting: {unknown}"
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    changed = {name: value for name, value in values.items() if getattr(current, name) != value}
    if current.closed_at is not None and set(changed) & set(UNTIL_CLOSED):
        raise PlanIsFixed(closed_at=current.closed_at.astimezone(current.zone))
    is_planned_anew = bool(set(changed) & set(PLAN_INPUTS))
    if changed and current.closed_at is None:
        version = current.inputs_version + is_planned_anew
        keep_step(current, doing="Words, dates and rules of the show were changed", version=version)
    for name, value in changed.items():
        setattr(current, name, value)
    check_dates(current)
    if changed:
        current.full_clean()
        current.save(update_fields=list(changed))
    if is_planned_anew:
        touch_inputs(current)
    return current


def check_dates(show: Show) -> None:
    """The dates of `show` can follow each other. Raises: NotReady, in words."""
    if show.opens_at >= show.closes_at:
        raise NotReady("Orders must open before they close. Nothing was changed.")
    opening_on = show.opening_at.astimezone(show.zone).date()
    if not show.hang_on <= opening_on <= show.last_day_on:
        raise NotReady("Hanging day, opening and last day must follow each other in this order. Nothing was changed.")
    if show.closes_at.astimezone(show.zone).date() > show.hang_on:
        raise NotReady("Orders must close by hanging day: the plan is fixed then. Nothing was changed.")
