"""Printing: marking copies that have come out well, and ending it."""

from collections.abc import Collection, Sequence
from datetime import datetime

from django.db import transaction

from campaign.errors import NotInThisState
from campaign.models import Copy, Edition, Job, Show
from fulfilment.errors import AddressesUnfit, CopiesNotPrinted, CopiesNotSpokenFor, CopiesPacked, NoParcelTakes
from fulfilment.models import CopyEvent, Impression, ParcelCopy
from fulfilment.packing import PrintedCopy, group_into_parcels
from fulfilment.queries.parcel_plan import plan_parcels, read_packing_ground
from fulfilment.queries.production import list_unfit_orders, list_unprinted, read_ready_copies
from fulfilment.services.copy_events import lock_copies, mark_printed, record

PAPERS = "papers"
UNFINISHED = (Job.State.WAITING, Job.State.RUNNING)


@transaction.atomic(durable=True)
def tick_printed(*, edition: Edition, numbers: Collection[int], now: datetime, by: str = "") -> int:
    """
    Mark copies as printed well.

    Writes: Impression, CopyEvent, Copy.is_printed.
    Raises: CopiesNotSpokenFor for numbers that nobody has paid for; then none is marked.
    Repeat: a printed copy stays as it is. Returns how many were newly marked.
    """
    copies = [copy for copy in lock_copies(edition, numbers) if copy.state == Copy.State.SPOKEN_FOR]
    strangers = set(numbers) - {copy.number for copy in copies}
    if strangers:
        raise CopiesNotSpokenFor(numbers=tuple(sorted(strangers)))
    return mark_printed(copies, by=by, now=now)


@transaction.atomic(durable=True)
def untick_printed(*, edition: Edition, numbers: Collection[int], now: datetime, by: str = "") -> int:
    """
    Take back a mark that was a mistake; a sheet that came out and is spoiled is `spoil_copies`.

    Writes: Impression, CopyEvent, Copy.is_printed.
    Raises: CopiesPacked for copies that are numbered into a parcel; then none is changed.
    Repeat: nothing is left to take back. Returns how many marks were taken back.
    """
    copies = lock_copies(edition, numbers)
    packed = ParcelCopy.objects.filter(copy__in=copies)
    taken = tuple(packed.order_by("copy__number").values_list("copy__number", flat=True))
    if taken:
        raise CopiesPacked(numbers=taken)
    printed = [copy for copy in copies if copy.is_printed]
    Impression.objects.filter(copy__in=printed).delete()
    Copy.objects.filter(pk__in=[copy.pk for copy in printed]).update(is_printed=False)
    return record(printed, kind=CopyEvent.Kind.NOT_PRINTED, by=by, now=now)


@transaction.atomic(durable=True)
def end_printing(*, show: Show, now: datetime) -> Job:
    """
    Printing is over: addresses are fixed, and a job numbers parcels and makes their papers.

    Orders paid after that are printed late; ending printing once more makes the papers of those alone.
    Writes: Show, Job.
    Raises: NotInThisState before the campaign is closed; CopiesNotPrinted; AddressesUnfit; NoParcelTakes where papers
        were made before and every copy that is ready is refused.
    Repeat: the job that is there already, unless copies have become ready since.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    if current.state not in (Show.State.CLOSED, Show.State.PRINTED):
        raise NotInThisState(what="The campaign", state=current.get_state_display())
    jobs = Job.objects.filter(show=current, kind=PAPERS)
    known = jobs.filter(state__in=UNFINISHED).first()
    if known:
        return known
    missing = list_unprinted(current)
    if missing:
        raise CopiesNotPrinted(names=missing)
    ready = read_ready_copies(current)
    newest = jobs.first()
    if newest and not ready:
        return newest
    unfit = list_unfit_orders(current)
    if unfit:
        raise AddressesUnfit(codes=unfit)
    Show.objects.filter(pk=current.pk, state=Show.State.CLOSED).update(state=Show.State.PRINTED)
    # The first time there are many copies, and their worker counts parcels by mailers itself.
    parcels = _count_late(current, ready, now=now) if newest else len(group_into_parcels(ready))
    return begin_papers(current, parcels=parcels, now=now)


def _count_late(show: Show, ready: Sequence[PrintedCopy], *, now: datetime) -> int:
    """How many parcels there will be; a job that would number none is not begun."""
    plan = plan_parcels(read_packing_ground(show, today=now.astimezone(show.zone).date()), ready)
    if not plan.parcels:
        raise NoParcelTakes(
            names=tuple(name for group in plan.refused for name in group.named),
            reasons=tuple(dict.fromkeys(reason for group in plan.refused for reason in group.reasons)),
        )
    return len(plan.parcels)


def begin_papers(show: Show, *, parcels: int, now: datetime) -> Job:
    """The step itself, in the transaction of a caller who holds the show: a worker numbers about so many parcels."""
    earlier = Job.objects.filter(show=show, kind=PAPERS).count()
    return Job.objects.create(
        show=show,
        kind=PAPERS,
        key=f"papers:{show.code}" + (f":{earlier + 1}" if earlier else ""),
        title=papers_title(parcels),
        total=parcels,
        starts_at=now,
        created_at=now,
    )


def papers_title(parcels: int) -> str:
    """What a job that makes the papers of so many parcels is called."""
    return f"Slips and labels for {parcels} parcel{'' if parcels == 1 else 's'}"
