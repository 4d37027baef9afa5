"""Posting parcels and telling their recipients."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from django.db import transaction

from campaign.errors import NotInThisState, NotReady
from campaign.models import Copy, Job, OutboxMessage, Show
from fulfilment import mail
from fulfilment.errors import NoticeAlreadySent, ParcelEmpty, ParcelToOpen, ParcelWaitsForPrint, TrackingNumberWrong
from fulfilment.models import Parcel, ParcelCopy, ParcelEvent
from fulfilment.packing import tidy_tracking_number, tracking_fault
from fulfilment.queries.parcels import NOTICES, read_notices
from fulfilment.services.papers import make_again
from fulfilment.services.parcel_events import note_event
from fulfilment.services.parcel_sums import reckon_again

TO_PACK, PACKED, POSTED = Parcel.State.TO_PACK, Parcel.State.PACKED, Parcel.State.POSTED
NOT_POSTED = (TO_PACK, PACKED)
Kind = ParcelEvent.Kind
GRACE = timedelta(seconds=60)  # the notices start a minute after the click, so that they can be called off


@transaction.atomic(durable=True)
def mark_posted(*, show: Show, tracking: Mapping[str, str], now: datetime, by: str = "") -> int:
    """
    Parcels have been handed over, packed at the station or not; all of them are recorded or none.

    `tracking` maps a parcel's code to its tracking number, empty for none. A posted parcel gets the number given
    here as long as its recipient has not been told. Copies whose order was cancelled are taken out of their parcel.
    Writes: Parcel, ParcelCopy, Copy.is_packed, Copy.is_posted, ParcelEvent.
    Raises: NotInThisState for a show that is called off; TrackingNumberWrong, ParcelEmpty, NoticeAlreadySent;
        ParcelToOpen for one that was packed before a copy in it was cancelled; ParcelWaitsForPrint.
    Repeat: a posted parcel keeps its moment. Returns how many parcels were newly posted.
    """
    posted: list[Parcel] = []
    if Show.objects.select_for_update(no_key=True).get(pk=show.pk).state == Show.State.CALLED_OFF:
        raise NotInThisState(what="The show", state=Show.State.CALLED_OFF.label)
    for parcel in _locked(show, codes=tracking):
        posted += _post(parcel, number=tidy_tracking_number(tracking[parcel.code]), now=now)
    note_event(posted, kind=Kind.POSTED, now=now, by=by)
    return len(posted)


def _locked(show: Show, *, codes: Mapping[str, str] | frozenset[str]) -> list[Parcel]:
    chosen = Parcel.objects.select_for_update(no_key=True).filter(show=show, code__in=list(codes))
    return list(chosen.order_by("number"))


def _post(parcel: Parcel, *, number: str, now: datetime) -> list[Parcel]:
    if tracking_fault(number):
        raise TrackingNumberWrong(number=number, parcel_number=parcel.number)
    if parcel.state == POSTED:
        if number and number != parcel.tracking_number:
            if parcel.noticed_at:
                raise _already_noticed(parcel)
            Parcel.objects.filter(pk=parcel.pk, noticed_at=None).update(tracking_number=number)
        return []
    if parcel.state == PACKED and (withdrawn := _withdrawn([parcel])):
        raise ParcelToOpen(parcel_number=parcel.number, names=tuple(str(copy) for copy in withdrawn))
    take_cancelled_out_of([parcel], now=now)
    if not parcel.parcel_copies.exists():
        raise ParcelEmpty(parcel_number=parcel.number)
    check_printed(parcel)
    Copy.objects.filter(parcel_copy__parcel=parcel).update(is_posted=True)
    won = Parcel.objects.filter(pk=parcel.pk, state__in=NOT_POSTED).update(
        state=POSTED, posted_at=now, tracking_number=number
    )
    parcel.tracking_number = number
    return [parcel] if won else []


def _already_noticed(parcel: Parcel) -> NoticeAlreadySent:
    is_out = read_notices([parcel]).get(parcel.pk) == OutboxMessage.State.SENT
    return NoticeAlreadySent(parcel_number=parcel.number, is_out=is_out)


def _withdrawn(parcels: Sequence[Parcel]) -> list[Copy]:
    inside = Copy.objects.filter(parcel_copy__parcel__in=parcels).exclude(state=Copy.State.SPOKEN_FOR)
    return list(inside.select_related("edition", "parcel_copy"))


def check_printed(parcel: Parcel) -> None:
    """
    A copy that was spoiled stays numbered into its parcel, and is not in it until it is printed again.

    Raises: ParcelWaitsForPrint.
    """
    missing = Copy.objects.filter(parcel_copy__parcel=parcel, is_printed=False).select_related("edition")
    if missing:
        raise ParcelWaitsForPrint(parcel_number=parcel.number, names=tuple(str(copy) for copy in missing))


def take_cancelled_out_of(parcels: Sequence[Parcel], *, now: datetime) -> int:
    """
    The step itself, in the transaction of a caller who holds the parcels. Returns how many copies came out.

    What is left in a parcel is reckoned anew, and a customs note that said more is made again.
    """
    withdrawn = _withdrawn(parcels)
    taken_out, lighter = [copy.pk for copy in withdrawn], {copy.parcel_copy.parcel_id for copy in withdrawn}
    ParcelCopy.objects.filter(copy__in=taken_out).delete()
    changed = reckon_again([parcel for parcel in parcels if parcel.pk in lighter], now=now)
    make_again([parcel for parcel in changed if parcel.customs_note])
    # Back on the shelf, printed: anybody may have it.
    return Copy.objects.filter(pk__in=taken_out).update(is_packed=False)


@transaction.atomic(durable=True)
def take_out_cancelled(*, show: Show, now: datetime, by: str = "") -> int:
    """
    Record that what was cancelled has been taken out of the parcels that are not posted yet.

    A parcel in which nothing is left keeps its number, so that slips and labels stay right, and is never posted. One
    that was packed had to be opened for it, so what is left in it is confirmed and packed anew.
    Writes: ParcelCopy, Copy.is_packed; Parcel and ParcelEvent of those opened.
    Repeat: nothing is left to take out. Returns how many copies came out.
    """
    waiting = Parcel.objects.select_for_update(no_key=True).filter(show=show, state__in=NOT_POSTED)
    parcels = list(waiting.order_by("number"))
    touched = {copy.parcel_copy.parcel_id for copy in _withdrawn(parcels)}
    opened = [parcel for parcel in parcels if parcel.state == PACKED and parcel.pk in touched]
    unpack(opened, note="a cancelled copy was taken out", now=now, by=by)
    return take_cancelled_out_of(parcels, now=now)


def unpack(parcels: Sequence[Parcel], *, note: str, now: datetime, by: str = "") -> None:
    """The step by which packed parcels count as open again, in the transaction of a caller who holds them."""
    keys = [parcel.pk for parcel in parcels]
    Parcel.objects.filter(pk__in=keys, state=PACKED).update(state=TO_PACK, packed_at=None, packed_by="")
    note_event(parcels, kind=Kind.UNPACKED, now=now, by=by, note=note)


@transaction.atomic(durable=True)
def undo_posted(*, show: Show, codes: frozenset[str], now: datetime, by: str = "") -> int:
    """
    Take back a mark that was set by mistake: the parcels are to be posted, packed as they were; all of them or none.

    Writes: Parcel, Copy.is_posted, ParcelEvent.
    Raises: NoticeAlreadySent once the recipient has been told.
    Repeat: a parcel that is not posted stays so. Returns how many were taken back.
    """
    parcels = [parcel for parcel in _locked(show, codes=codes) if parcel.state == POSTED]
    for parcel in parcels:
        if parcel.noticed_at:
            raise _already_noticed(parcel)
    Copy.objects.filter(parcel_copy__parcel__in=parcels).update(is_posted=False)
    note_event(parcels, kind=Kind.NOT_POSTED, now=now, by=by)
    posted = Parcel.objects.filter(pk__in=[parcel.pk for parcel in parcels], state=POSTED, noticed_at=None)
    return posted.filter(packed_at=None).update(state=TO_PACK, posted_at=None, tracking_number="") + posted.exclude(
        packed_at=None
    ).update(state=PACKED, posted_at=None, tracking_number="")


@transaction.atomic(durable=True)
def send_posted_notices(*, show: Show, now: datetime) -> Job:
    """
    Tell the recipient of every parcel that is posted and not told of yet, in one batch, after a minute of grace.

    Writes: Parcel.noticed_at, Job.
    Mails: parcel_posted for each such parcel.
    Raises: NotReady when no parcel has ever waited for a notice.
    Repeat: a parcel is told of once; with none waiting, the newest batch.
    """
    waiting = Parcel.objects.select_for_update(no_key=True).filter(show=show, state=POSTED, noticed_at=None)
    parcels = list(waiting.order_by("number"))
    newest = Job.objects.filter(show=show, kind=NOTICES).first()
    if not parcels:
        if newest is None:
            raise NotReady("No posted parcel waits for its notice. Mark parcels as posted first.")
        return newest
    Parcel.objects.filter(pk__in=[parcel.pk for parcel in parcels], noticed_at=None).update(noticed_at=now)
    # A parcel is in one batch that counts, so its code names the batch; a number follows if one was called off before.
    name = f"notices:{show.code}:{parcels[0].code}"
    earlier = Job.objects.filter(key__startswith=name).count()
    job = Job.objects.create(
        show=show,
        kind=NOTICES,
        key=name + (f":{earlier + 1}" if earlier else ""),
        title=f"Notice that {len(parcels)} parcel{' is' if len(parcels) == 1 else 's are'} posted",
        total=len(parcels),
        starts_at=now + GRACE,
        created_at=now,
    )
    inside = _copies_in(parcels)
    for parcel in parcels:
        mail.parcel_posted(parcel=parcel, copies=inside[parcel.pk], batch=job, now=now)
    job.messages.update(due_at=job.starts_at)
    return job


def preview_notice(*, show: Show, now: datetime) -> OutboxMessage | None:
    """The mail to the first of those who wait to be told, as it would go out; None if nobody waits. Writes nothing."""
    parcel = Parcel.objects.filter(show=show, state=POSTED, noticed_at=None).order_by("number").first()
    if parcel is None:
        return None
    return mail.show_parcel_posted(parcel=parcel, copies=_copies_in([parcel])[parcel.pk], now=now)


def _copies_in(parcels: Sequence[Parcel]) -> dict[int, list[Copy]]:
    """What lies in each of `parcels`, by its key, in the order of the slip. One query."""
    inside: dict[int, list[Copy]] = {parcel.pk: [] for parcel in parcels}
    copies = Copy.objects.filter(parcel_copy__parcel__in=parcels).order_by("edition", "number")
    for copy in copies.select_related("edition", "pledge", "line", "parcel_copy"):
        inside[copy.parcel_copy.parcel_id].append(copy)
    return inside


@transaction.atomic(durable=True)
def call_off_notices(*, job: Job, now: datetime) -> int:
    """
    Within the minute of grace: nobody has been told, and the parcels wait for their notice again.

    Writes: Job, Parcel.noticed_at; deletes OutboxMessage.
    Repeat: nothing left to call off, nor once the minute is over: returns 0. Else how many mails were stopped.
    """
    # The row is taken first: a second click, or the sweep that moves the batch on, finds it called off.
    early = Job.objects.filter(pk=job.pk, kind=NOTICES, state=Job.State.WAITING, starts_at__gt=now)
    if early.update(state=Job.State.CANCELLED, finished_at=now) != 1:
        return 0
    codes = [key.split(":")[1] for key in job.messages.values_list("key", flat=True)]
    Parcel.objects.filter(show=job.show_id, code__in=codes).update(noticed_at=None)
    stopped, _ = job.messages.filter(state=OutboxMessage.State.PENDING).delete()
    return stopped
