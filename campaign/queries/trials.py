"""Staircases that are looked at once and not stored: quick rather than proved to the last point."""

from campaign.planning import PlanRequest, Staircase, build_staircase

TRIAL_LABELS = 6_000


def build_trial(request: PlanRequest) -> Staircase:
    """The staircase of a changed request; steps that are not proved carry their bounds."""
    return build_staircase(request, label_limit=TRIAL_LABELS)
