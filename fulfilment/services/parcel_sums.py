"""What a parcel weighs, costs and needs follows what is in it: the shared step of every act that changes that."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime
from itertools import groupby

from django.db import connection

from campaign.models import Show
from fulfilment.models import Parcel
from fulfilment.packing import PrintedCopy
from fulfilment.queries.parcel_packing import copies_in
from fulfilment.queries.parcel_plan import (
    MOST_WORDS,
    PackingGround,
    ParcelSums,
    read_packing_ground,
    reckon_parcel,
    say_anyway,
)


def reckon_again(parcels: Sequence[Parcel], *, now: datetime) -> list[Parcel]:
    """
    Work the sums of `parcels` out of what is in them now, within the transaction of a caller who holds them.

    What the scales said holds while nothing was put in or taken out. What stood against a parcel that is packed all the
    same is said anew, or no more. A parcel in which nothing is left keeps its sums.
    Writes: Parcel.
    Returns: those whose sums are others than before, as they are now.
    """
    assert connection.in_atomic_block, "sums move with what is in the parcel"
    if not parcels:
        return []
    changed = []
    rows = Parcel.objects.filter(pk__in=[parcel.pk for parcel in parcels]).select_related("show", "mailer")
    for show, mine in groupby(rows.order_by("show", "number"), key=lambda parcel: parcel.show):
        changed += _reckon(list(mine), ground=ground_of(show, now=now))
    return changed


def ground_of(show: Show, *, now: datetime) -> PackingGround:
    """What parcels of `show` are planned from on the day that it is `now` where the show is."""
    return read_packing_ground(show, today=now.astimezone(show.zone).date())


def _reckon(parcels: Sequence[Parcel], *, ground: PackingGround) -> list[Parcel]:
    inside, changed = copies_in(parcels), []
    for parcel in parcels:
        copies = inside[parcel.pk]
        if not copies:
            continue
        is_same = sum(copy.value_minor for copy in copies) == parcel.value_minor
        weighed_g = parcel.mass_g if parcel.is_weighed and is_same else None
        reckoned = reckon_parcel(
            ground, address=parcel.address, copies=copies, mailer=parcel.mailer, weighed_g=weighed_g
        )
        sums = asdict(reckoned)
        sums["is_weighed"] = weighed_g is not None
        _say_again(parcel, ground=ground, copies=copies, sums=reckoned)
        if any(getattr(parcel, name) != value for name, value in sums.items()):
            Parcel.objects.filter(pk=parcel.pk).update(**sums)
            for name, value in sums.items():
                setattr(parcel, name, value)
            changed.append(parcel)
    return changed


def _say_again(parcel: Parcel, *, ground: PackingGround, copies: Sequence[PrintedCopy], sums: ParcelSums) -> None:
    """Where the artist has had it packed all the same: what stands against it now. It is on no paper."""
    if not parcel.caution:
        return
    faults = say_anyway(ground, address=parcel.address, copies=copies, mailer=parcel.mailer, sums=sums)
    caution = "; ".join(faults)[:MOST_WORDS]
    if caution != parcel.caution:
        Parcel.objects.filter(pk=parcel.pk).update(caution=caution)
        parcel.caution = caution
