"""How parcels are packed against or beside the plan: another mailer, what the scales say, one parcel all the same."""

from dataclasses import asdict, dataclass
from datetime import datetime

from django.db import transaction

from campaign.errors import NotInThisState, NotReady
from campaign.models import Job, Show
from fulfilment.errors import AddressesUnfit, AgainstTheLimits, NoSuchParcel, NotRefused, NotToBePacked
from fulfilment.models import Mailer, PackAnyway, Parcel, ParcelEvent
from fulfilment.queries.packing_station import why_not_packed
from fulfilment.queries.parcel_packing import copies_in
from fulfilment.queries.parcel_plan import (
    MOST_WORDS,
    PackingGround,
    ParcelSums,
    RefusedGroup,
    parcel_faults,
    plan_parcels,
    reckon_parcel,
)
from fulfilment.queries.production import list_unfit_orders, read_ready_copies
from fulfilment.services.papers import make_again
from fulfilment.services.parcel_events import note_event
from fulfilment.services.parcel_sums import ground_of
from fulfilment.services.production import PAPERS, UNFINISHED, begin_papers


@dataclass(frozen=True, slots=True)
class PackingWish:
    """What a parcel travels in, `mailer_code` empty for unsaid; what the scales say, None for the sum of its parts."""

    mailer_code: str = ""
    weighed_g: int | None = None
    anyway: bool = False


@transaction.atomic(durable=True)
def change_packing(*, show: Show, code: str, wish: PackingWish, by: str, now: datetime) -> bool:
    """
    A parcel that is to be packed gets another mailer, or the mass that the scales say; its papers are made again.

    Writes: Parcel, ParcelEvent, Paper, Job.
    Raises: NoSuchParcel; NotToBePacked for one that is packed or posted, or in which nothing is left;
        AgainstTheLimits for what does not fit or passes a limit, unless `anyway`.
    Repeat: the same again changes nothing. Returns whether anything changed.
    """
    parcel = Parcel.objects.select_for_update(no_key=True, of=("self",)).filter(show=show, code=code)
    found = parcel.select_related("show", "mailer").first()
    if found is None:
        raise NoSuchParcel(code=code)
    if found.state != Parcel.State.TO_PACK:
        raise NotToBePacked(f"{why_not_packed(found, zone=found.show.zone)} Open it first; nothing was changed.")
    copies = copies_in([found])[found.pk]
    if not copies:
        raise NotToBePacked(f"Every order in parcel {found.number} was cancelled. Nothing was changed.")
    ground = ground_of(found.show, now=now)
    mailer = _mailer(ground, code=wish.mailer_code)
    asked = {"address": found.address, "copies": copies, "mailer": mailer}
    sums = reckon_parcel(ground, **asked, weighed_g=wish.weighed_g)
    faults = parcel_faults(ground, **asked, sums=sums)
    if faults and not wish.anyway:
        raise AgainstTheLimits(faults=faults)
    return _keep(found, mailer=mailer, sums=sums, wish=wish, faults=faults, by=by, now=now)


def _mailer(ground: PackingGround, *, code: str) -> Mailer | None:
    found = next((mailer for mailer in ground.mailers if mailer.code == code), None)
    if code and found is None:
        raise NotReady("This mailer is not in the list any more. Choose another; nothing was changed.")
    return found


def _keep(
    parcel: Parcel, *, mailer: Mailer | None, sums: ParcelSums, wish: PackingWish, faults: tuple[str, ...], by: str,
    now: datetime,
) -> bool:  # fmt: skip
    values = asdict(sums) | {
        "mailer": mailer, "is_weighed": wish.weighed_g is not None, "caution": "; ".join(faults)[:MOST_WORDS],
    }  # fmt: skip
    if all(getattr(parcel, name) == value for name, value in values.items()):
        return False
    Parcel.objects.filter(pk=parcel.pk).update(**values)
    scales = ", by the scales" if wish.weighed_g is not None else ""
    words = f"{mailer or 'no mailer'}, {sums.mass_g} g{scales}"
    note_event([parcel], kind=ParcelEvent.Kind.CHANGED, now=now, by=by, note=words)
    make_again([parcel])
    return True


@transaction.atomic(durable=True)
def pack_anyway(*, show: Show, copy_name: str, by: str, now: datetime) -> Job:
    """
    What was refused goes into one parcel all the same, by the artist's word; a worker numbers it and makes its papers.

    `copy_name` is any one of the copies for that address, as edition and number: harbour/3.
    Writes: PackAnyway, Job.
    Raises: NotInThisState before printing has ended; NotReady while papers are being made; AddressesUnfit; NotRefused.
    Repeat: once it has its parcel, NotRefused.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    if current.state != Show.State.PRINTED:
        raise NotInThisState(what="The show", state=current.get_state_display())
    if Job.objects.filter(show=current, kind=PAPERS, state__in=UNFINISHED).exists():
        raise NotReady("Papers are being made just now. Say it again when they are done.")
    if unfit := list_unfit_orders(current):
        raise AddressesUnfit(codes=unfit)
    ready = read_ready_copies(current)
    plan = plan_parcels(ground_of(current, now=now), ready)
    group = _group_with(plan.refused, copy_name=copy_name)
    PackAnyway.objects.bulk_create(
        (PackAnyway(copy_id=copy.key, said_at=now, by=by[:150]) for copy in group.group.copies), ignore_conflicts=True
    )
    return begin_papers(current, parcels=len(plan.parcels) + 1, now=now)


def _group_with(refused: tuple[RefusedGroup, ...], *, copy_name: str) -> RefusedGroup:
    for one in refused:
        if any(f"{copy.edition_code}/{copy.number}" == copy_name for copy in one.group.copies):
            return one
    raise NotRefused
