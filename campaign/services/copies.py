"""Taking and giving back copies of an edition; shared steps for the use cases beside it, inside their transaction."""

from django.db import connection

from campaign.errors import NotEnoughCopies
from campaign.models import Copy, Edition, Pledge

FREE, HELD, SPOKEN_FOR = Copy.State.FREE, Copy.State.HELD, Copy.State.SPOKEN_FOR


def take_copies(*, pledge: Pledge, edition: Edition, count: int) -> list[int]:
    """
    Hold the `count` lowest free copies for `pledge` and return their numbers, rising.

    One conditional UPDATE. On PostgreSQL the edition's row is locked first: without it, two buyers could wait for the
    same lowest rows and the later one be told "sold out" while other copies are free. SQLite has one writer anyway.
    A copy in a parcel is taken by nobody: its order was cancelled, but it may be on its way already.
    Raises: NotEnoughCopies(left) - nothing is held then, once the caller's transaction has rolled back.
    """
    assert connection.in_atomic_block, "copies are taken inside the transaction of the order"
    Edition.objects.select_for_update(no_key=True).get(pk=edition.pk)
    free = Copy.objects.filter(edition=edition, state=FREE, is_packed=False)
    lowest = free.order_by("number").values("pk")[:count]
    taken = free.filter(pk__in=lowest).update(state=HELD, pledge=pledge)
    if taken < count:
        raise NotEnoughCopies(left=taken)
    return list(Copy.objects.filter(pledge=pledge).order_by("number").values_list("number", flat=True))


def settle_copies(pledge: Pledge) -> None:
    """A paid pledge's held copies are spoken for from now on."""
    Copy.objects.filter(pledge=pledge, state=HELD).update(state=SPOKEN_FOR)


def give_back_copies(pledge: Pledge) -> int:
    """Free every copy of a pledge that has ended. Returns how many came back."""
    return Copy.objects.filter(pledge=pledge).update(state=FREE, pledge=None)
