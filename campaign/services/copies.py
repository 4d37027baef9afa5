"""Taking and giving back copies of an edition; shared steps for the use cases beside it, inside their transaction."""

from collections import Counter
from collections.abc import Iterable

from django.db import connection
from django.db.models import Q

from campaign.errors import NotEnoughCopies
from campaign.models import Copy, Edition, Pledge, PledgeLine, Waiter

FREE, OFFERED, HELD, SPOKEN_FOR = Copy.State.FREE, Copy.State.OFFERED, Copy.State.HELD, Copy.State.SPOKEN_FOR


def take_copies(*, pledge: Pledge, waiter: Waiter | None = None) -> None:
    """
    Hold the lowest free copies of each edition for the lines of `pledge`; those offered to `waiter` first.

    One conditional UPDATE a line. On PostgreSQL the rows of the editions are locked first: without it, two buyers
    could wait for the same lowest copies and the later one be told "sold out" while others are free; and always in
    the order of their keys, so that two orders of the same two editions never wait for each other. SQLite has one
    writer anyway.
    A copy in a parcel is taken by nobody: its order was cancelled, but it may be on its way already.
    Raises: NotEnoughCopies(left, title) - nothing is held then, once the caller's transaction has rolled back.
    """
    assert connection.in_atomic_block, "copies are taken inside the transaction of the order"
    lines = list(PledgeLine.objects.filter(pledge=pledge).order_by("edition", "pk"))
    editions = lock_editions(line.edition_id for line in lines)
    taken: Counter[int] = Counter()
    for line in lines:
        found = _take(line, waiter=waiter)
        taken[line.edition_id] += found
        if found < line.copies:
            raise NotEnoughCopies(left=taken[line.edition_id], title=editions[line.edition_id].title)


def lock_editions(keys: Iterable[int]) -> dict[int, Edition]:
    """The editions as they are now, by key, and nobody else's until the transaction ends; locked in rising order."""
    rows = Edition.objects.select_for_update(no_key=True).filter(pk__in=set(keys)).order_by("pk")
    return {edition.pk: edition for edition in rows}


def _take(line: PledgeLine, *, waiter: Waiter | None) -> int:
    is_free = Q(state=FREE) | Q(state=OFFERED, waiter=waiter) if waiter else Q(state=FREE)
    free = Copy.objects.filter(is_free, edition=line.edition_id, is_packed=False)
    # "offered" stands behind "free" in the alphabet: what was kept for somebody goes to them before anything else.
    lowest = free.order_by("-state", "number").values("pk")[: line.copies]
    return free.filter(pk__in=lowest).update(state=HELD, pledge=line.pledge_id, line=line, waiter=None)


def settle_copies(pledge: Pledge) -> None:
    """A paid pledge's held copies are spoken for from now on."""
    Copy.objects.filter(pledge=pledge, state=HELD).update(state=SPOKEN_FOR)


def give_back_copies(pledge: Pledge) -> int:
    """Free every copy of a pledge that has ended. Returns how many came back."""
    return Copy.objects.filter(pledge=pledge).update(state=FREE, pledge=None, line=None)
