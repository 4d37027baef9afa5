"""Steps shared by the edits of what a plan is made from; they run inside the edit's own transaction."""

from collections.abc import Collection

from django.db import connection
from django.utils.text import slugify

from campaign.errors import PlanIsFixed
from campaign.models import Show
from campaign.services.plans import touch_inputs
from campaign.services.undo import keep_step


def open_inputs(show: Show, *, doing: str = "The last change") -> Show:
    """
    The show as it is now, locked for an edit of its walls, works, finishes, prices or costs; its staircase is stale.

    What the inputs are before the edit is kept, so that it can be taken back; `doing` says what it does, as a sentence
    without its full stop.
    Raises: PlanIsFixed once the campaign is closed.
    """
    assert connection.in_atomic_block, "inputs are opened inside the transaction of the edit"
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    if current.closed_at is not None:
        raise PlanIsFixed(closed_at=current.closed_at.astimezone(current.zone))
    keep_step(current, doing=doing, version=current.inputs_version + 1)
    touch_inputs(current)
    return current


def free_code(name: str, *, taken: Collection[str], otherwise: str) -> str:
    """
    A short name for `name` that no other has: letters, digits and hyphens, at most 40.

    >>> free_code("North wall", taken={"north-wall"}, otherwise="wall")
    'north-wall-2'
    """
    stem = slugify(name)[:34].strip("-") or otherwise
    code, number = stem, 1
    while code in taken:
        number += 1
        code = f"{stem}-{number}"
    return code
