"""Taking and giving back copies of an edition; steps of the use cases beside it, inside their transaction."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from django.db import connection

from campaign.errors import NotEnoughCopies
from campaign.models import FREE_TO_TAKE_SQL, Copy, Edition, Pledge, PledgeLine, Waiter
from campaign.services.offers import offer_copies

OFFERED, HELD, SPOKEN_FOR = Copy.State.OFFERED, Copy.State.HELD, Copy.State.SPOKEN_FOR


def take_copies(
    *,
    pledge: Pledge,
    now: datetime,
    waiter: Waiter | None = None,
    lines: Sequence[PledgeLine] | None = None,
    editions: Mapping[int, Edition] | None = None,
    waited_for: frozenset[int] | None = None,
) -> dict[int, list[int]]:
    """
    Hold the lowest free copies of each edition for the lines of `pledge`; those offered to `waiter` first.

    Returns: the numbers held for each line, by its key. `lines` and `editions` are for a caller that has just written
    and locked them, `waited_for` for one that knows which of them somebody waits for.
    One conditional UPDATE a line. On PostgreSQL the rows of the editions are locked first: without it, two buyers
    could wait for the same lowest copies and the later one be told "sold out" while others are free; and always in
    the order of their keys, so that two orders of the same two editions never wait for each other. SQLite has one
    writer anyway.
    Whoever waits comes first: what is free and not offered yet is offered to them before anybody takes it.
    Raises: NotEnoughCopies(left, title) - nothing is held then, once the caller's transaction has rolled back.
    """
    assert connection.in_atomic_block, "copies are taken inside the transaction of the order"
    if lines is None or editions is None:
        lines = list(PledgeLine.objects.filter(pledge=pledge))
        editions = lock_editions(line.edition_id for line in lines)
    taken: Counter[int] = Counter()
    numbers: dict[int, list[int]] = {}
    for key, edition in editions.items():
        if waited_for is None or key in waited_for:
            offer_copies(edition, now=now)
    for line in sorted(lines, key=lambda line: (line.edition_id, line.pk)):
        found = _take(line, waiter=waiter)
        taken[line.edition_id] += len(found)
        if len(found) < line.copies:
            raise NotEnoughCopies(left=taken[line.edition_id], title=editions[line.edition_id].title)
        numbers[line.pk] = sorted(found)
    return numbers


def lock_editions(keys: Iterable[int]) -> dict[int, Edition]:
    """The editions as they are now, by key, and nobody else's until the transaction ends; locked in rising order."""
    rows = Edition.objects.select_for_update(no_key=True, of=("self",)).select_related("show")
    rows = rows.filter(pk__in=set(keys)).order_by("pk")
    return {edition.pk: edition for edition in rows}


# The lowest are found once, whatever the planner thinks of its figures: as a plain subquery it may look for them once
# a copy. "offered" stands behind "free" in the alphabet: what was kept for somebody goes to them before anything else.
_TAKE = (
    f"WITH lowest AS MATERIALIZED (SELECT id FROM {Copy._meta.db_table} WHERE edition_id = %s AND ({{wanted}}) "  # noqa: S608
    f"ORDER BY {{first}}number LIMIT %s) UPDATE {Copy._meta.db_table} "
    f"SET state = '{HELD}', pledge_id = %s, line_id = %s, waiter_id = NULL "
    "WHERE id IN (SELECT id FROM lowest) AND ({wanted}) RETURNING number"
)
_TAKE_FREE = _TAKE.format(wanted=FREE_TO_TAKE_SQL, first="")
_TAKE_KEPT_FIRST = _TAKE.format(
    wanted=f"{FREE_TO_TAKE_SQL} OR state = '{OFFERED}' AND waiter_id = %s", first="state DESC, "
)


def _take(line: PledgeLine, *, waiter: Waiter | None) -> list[int]:
    """The numbers of the copies it got; those asked for, or fewer and then the caller gives up."""
    sql, kept_for = (_TAKE_KEPT_FIRST, [waiter.pk]) if waiter else (_TAKE_FREE, [])
    with connection.cursor() as cursor:
        cursor.execute(sql, [line.edition_id, *kept_for, line.copies, line.pledge_id, line.pk, *kept_for])
        return [number for (number,) in cursor.fetchall()]


def settle_copies(pledge: Pledge) -> None:
    """A paid pledge's held copies are spoken for from now on."""
    Copy.objects.filter(pledge=pledge, state=HELD).update(state=SPOKEN_FOR)


def give_back_copies(pledge: Pledge, *, now: datetime) -> int:
    """
    Free every copy of a pledge that has ended, and offer them to those who wait. Returns how many came back.

    In one transaction: between coming back and being offered no copy can be taken from the page.
    """
    editions = lock_editions(pledge.lines.values_list("edition", flat=True))
    came = Copy.objects.filter(pledge=pledge).update(state=Copy.State.FREE, pledge=None, line=None)
    for edition in editions.values():
        offer_copies(edition, now=now)
    return came
