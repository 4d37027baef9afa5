"""From a choice to places on the walls; the choice itself is made elsewhere."""

from collections.abc import Sequence

from campaign.planning.assign import Assigner, Undecided
from campaign.planning.errors import NotPlaceable
from campaign.planning.inputs import (
    Option,
    PlanRequest,
)
from campaign.planning.results import Placement
from campaign.planning.wall import hanging_stretches, place_in_stretch


def place_on_walls(request: PlanRequest, choice: Sequence[int]) -> tuple[Placement, ...]:
    """
    Hang a choice: stretches filled so that gaps are wide, works in the request's order within each stretch.

    Parameters: choice, one option index per work, -1 for not hung.
    Returns: placements stretch by stretch, left to right.
    Raises: NotPlaceable(codes) when no way was found.
    """
    options = [work.options[picked] for work, picked in zip(request.works, choice, strict=True) if picked >= 0]
    return place_options(request, options)


def place_options(request: PlanRequest, options: Sequence[Option]) -> tuple[Placement, ...]:
    """Hang these options, at most one per work, in the order given; see place_on_walls."""
    pieces = hanging_stretches(request)
    assigner = Assigner(stretches=pieces, min_gap_mm=request.min_gap_mm)
    try:
        chosen = assigner.assign([(option.width_mm, option.height_mm) for option in options])
    except Undecided:
        chosen = None
    if chosen is None:
        raise NotPlaceable(codes=tuple(option.work_code for option in options))
    placements: list[Placement] = []
    for index, piece in enumerate(pieces):
        here = [option for option, place in zip(options, chosen, strict=True) if place == index]
        placements.extend(place_in_stretch(here, stretch=piece))
    return tuple(placements)
