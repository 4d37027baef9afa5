"""Staircases that are looked at once and not stored: quick rather than proved to the last point."""

from campaign.planning import PlanRequest, Staircase
from campaign.planning.choosing.choose import quick_staircase


def build_trial(request: PlanRequest) -> Staircase:
    """The staircase of a changed request; steps that are not proved carry their bounds."""
    return quick_staircase(request)
