"""The minimum and what happens below it: the artist's choice, made before anybody orders."""

from django.db import transaction

from campaign.errors import NotReady
from campaign.models import Show
from campaign.queries.minimum import is_minimum_fixed

FIXED = "People have ordered on what the page says about the minimum, so it stays as it is. Nothing was changed."


@transaction.atomic(durable=True)
def set_minimum(*, show: Show, minimum_minor: int | None, below_minimum: str) -> Show:
    """
    Choose the least wall money (None for no minimum) and what happens if it is missed.

    Writes: Show.
    Raises: NotReady once the page is public and somebody has ordered.
    Repeat: the same choice again changes nothing.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    wish = (minimum_minor, below_minimum)
    if (current.minimum_minor, current.below_minimum) == wish:
        return current
    if is_minimum_fixed(current):
        raise NotReady(FIXED)
    current.minimum_minor, current.below_minimum = wish
    current.full_clean()
    current.save(update_fields=["minimum_minor", "below_minimum"])
    return current
