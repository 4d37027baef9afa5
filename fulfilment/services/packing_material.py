"""What the artist packs in, how prints travel, what the post takes and customs asks; parcels to be packed follow."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.db.models import Q

from campaign.errors import NotReady
from campaign.models import Copy, Edition, Show
from campaign.services.matching import drop_leftovers, match_rows
from fulfilment.errors import MailerInUse
from fulfilment.models import CustomsFacts, Mailer, Parcel, ParcelCopy, TravelFacts
from fulfilment.services.papers import make_again, stop_workers
from fulfilment.services.parcel_sums import reckon_again


@dataclass(frozen=True, slots=True)
class MailerWish:
    """A mailer as typed; of a tube width and depth are its diameter."""

    name: str
    is_tube: bool
    inner_length_mm: int
    inner_width_mm: int
    inner_depth_mm: int
    outer_length_mm: int
    outer_width_mm: int
    outer_depth_mm: int
    mass_g: int
    edge_mm: int = 0
    price_minor: int = 0
    count: int = 0


@dataclass(frozen=True, slots=True)
class TravelWish:
    """How a print travels, thickness and mass 0 where it is not said; what customs is told of it."""

    thickness_um: int = 0
    mass_g: int = 0
    least_tube_mm: int = 0
    commodity_code: str = ""
    origin_country: str = ""
    content_words: str = ""
    reason: str = TravelFacts.Reason.SALE


@dataclass(frozen=True, slots=True)
class ServiceWish:
    """What the post takes to a zone; 0 where it says nothing."""

    zone: str
    name: str = ""
    is_letter_post: bool = False
    mass_g: int = 0
    longest_mm: int = 0
    sum_mm: int = 0
    tube_longest_mm: int = 0
    tube_sum_mm: int = 0
    length_and_girth_mm: int = 0
    least_long_mm: int = 0
    least_short_mm: int = 0
    divisor_mm3_per_g: int = 0
    divisor_from_mm3: int = 0
    insured_up_to_minor: int = 0


@dataclass(frozen=True, slots=True)
class CustomsWish:
    """The price of an SDR on a day, both or neither; numbers of the sender, empty where there are none."""

    sdr_milli: int | None = None
    sdr_read_on: date | None = None
    eori: str = ""
    vat_number: str = ""
    ioss_number: str = ""


@transaction.atomic(durable=True)
def save_mailer(*, show: Show, mailer: Mailer | None, wish: MailerWish, now: datetime) -> Mailer:
    """
    Keep a new mailer, or a known one as it is now.

    Writes: Mailer; Parcel, Paper, Job of parcels to be packed in it.
    Raises: NotReady for a name that another one has.
    Repeat: the same again changes nothing; a new one with the name of another is refused.
    """
    Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    others = Mailer.objects.filter(show=show, name=wish.name)
    if (others.exclude(pk=mailer.pk) if mailer else others).exists():
        raise NotReady(f"There is a mailer called “{wish.name}” already; give this one another name.")
    if mailer is None:
        return Mailer.objects.create(show=show, **asdict(wish))
    Mailer.objects.filter(pk=mailer.pk).update(**asdict(wish))
    _follow(show, now=now)
    return Mailer.objects.get(pk=mailer.pk)


@transaction.atomic(durable=True)
def remove_mailer(*, mailer: Mailer) -> None:
    """
    Take a mailer out of the list.

    Writes: Mailer.
    Raises: MailerInUse while a parcel has it, or has left in it.
    Repeat: nothing is left to remove.
    """
    stop_workers(mailer.show)  # a parcel that is just being numbered may take it
    parcels = Parcel.objects.filter(Q(mailer=mailer) | Q(events__mailer=mailer)).distinct().count()
    if parcels:
        raise MailerInUse(name=mailer.name, parcels=parcels)
    Mailer.objects.filter(pk=mailer.pk).delete()


@transaction.atomic(durable=True)
def save_travel(*, edition: Edition, wish: TravelWish, now: datetime) -> None:
    """
    Keep how prints of an edition travel and what customs is told of them.

    Writes: TravelFacts; Parcel, Paper, Job of parcels to be packed.
    Repeat: the same again changes nothing.
    """
    Show.objects.select_for_update(no_key=True).get(pk=edition.show_id)
    kept = TravelFacts.objects.filter(edition=edition).first()
    if kept and _is_same(kept, asdict(wish)):
        return
    TravelFacts.objects.update_or_create(edition=edition, defaults=asdict(wish))
    _follow(edition.show, now=now, notes_change=True)


@transaction.atomic(durable=True)
def set_services(*, show: Show, services: Sequence[ServiceWish], now: datetime) -> None:
    """
    Replace what the post takes, zone by zone.

    Writes: PostService; Parcel, Paper, Job of parcels to be packed.
    Raises: NotReady for a zone that stands there twice.
    Repeat: the same table again changes nothing.
    """
    Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    zones = [service.zone for service in services]
    twice = next((zone for zone in zones if zones.count(zone) > 1), None)
    if twice:
        raise NotReady(f"The zone “{twice}” has two services; keep one.")
    match = match_rows(
        table="post services",
        present=show.post_services.all(),
        wanted=[{"show": show, **asdict(service)} for service in services],
        key=["zone"],
    )
    drop_leftovers(match)
    _follow(show, now=now)


@transaction.atomic(durable=True)
def save_customs(*, show: Show, wish: CustomsWish, now: datetime) -> None:
    """
    Keep the price of an SDR and the sender's numbers.

    Writes: CustomsFacts; Parcel, Paper, Job of parcels to be packed.
    Repeat: the same again changes nothing.
    """
    Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    kept = CustomsFacts.objects.filter(show=show).first()
    if kept and _is_same(kept, asdict(wish)):
        return
    CustomsFacts.objects.update_or_create(show=show, defaults=asdict(wish))
    _follow(show, now=now, notes_change=True)


@transaction.atomic(durable=True)
def reckon_parcels(*, show: Show, now: datetime) -> None:
    """
    Reckon what is to be packed by the tables of today: postage that was entered late, parcels of an earlier release.

    Writes: Parcel, Paper, Job of parcels to be packed.
    Repeat: nothing changes.
    """
    Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    _follow(show, now=now)


def reckon_unreckoned(*, now: datetime) -> int:
    """
    Parcels that an earlier release numbered, without sums, get them; what the sweep calls.

    Repeat: nothing is left to do. Returns how many shows had some.
    """
    # With something in them: the others keep their sums, and would be found again at every sweep.
    inside = ParcelCopy.objects.filter(copy__state=Copy.State.SPOKEN_FOR).values("parcel")
    old = Parcel.objects.filter(state=Parcel.State.TO_PACK, charged_mass_g=0, mass_g__gt=0, pk__in=inside)
    shows = list(Show.objects.filter(parcels__in=old).distinct())
    for show in shows:
        reckon_parcels(show=show, now=now)
    return len(shows)


def _is_same(row: Any, values: Mapping[str, Any]) -> bool:
    return all(getattr(row, name) == value for name, value in values.items())


def _follow(show: Show, *, now: datetime, notes_change: bool = False) -> None:
    """Parcels that are to be packed are reckoned anew; papers that would say otherwise are made again."""
    stop_workers(show)  # before the parcels are read: those that are just being numbered are among them then
    waiting = list(Parcel.objects.select_for_update(no_key=True).filter(show=show, state=Parcel.State.TO_PACK))
    before = {parcel.pk: (parcel.mass_g, parcel.customs_note) for parcel in waiting}
    changed = reckon_again(waiting, now=now)
    # Slips and labels show mass and mailer; postage, value and cover stand on customs notes alone.
    shown = {one.pk for one in changed if one.customs_note or before[one.pk] != (one.mass_g, one.customs_note)}
    stale = shown | {one.pk for one in waiting if notes_change and one.customs_note}
    if stale:
        make_again([parcel for parcel in waiting if parcel.pk in stale])
