"""What is in a parcel, what it could travel in, and what stands against it as it is."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from campaign.models import Copy, Show
from fulfilment.models import Mailer, Parcel
from fulfilment.packing import PrintedCopy
from fulfilment.queries.parcel_plan import (
    PackingGround,
    ParcelSums,
    RefusedGroup,
    parcel_faults,
    plan_parcels,
    read_packing_ground,
)
from fulfilment.queries.production import as_printed_copy, read_ready_copies


@dataclass(frozen=True, slots=True)
class ParcelPacking:
    """
    A parcel with what belongs in it and every mailer of the show; `left` are the mailers that no parcel has, by key.

    `faults` are sentences on what does not fit and which limits are passed, empty if it can go like this.
    """

    parcel: Parcel
    copies: tuple[Copy, ...]
    mailers: tuple[Mailer, ...]
    left: dict[int, int]
    faults: tuple[str, ...]

    @property
    def can_change(self) -> bool:
        """It is neither packed nor posted, and for somebody."""
        return self.parcel.state == Parcel.State.TO_PACK and bool(self.copies)

    @property
    def uninsured_minor(self) -> int:
        """What of its value no service covers."""
        return self.parcel.value_minor - self.parcel.insured_minor


def find_parcel_packing(*, show_pk: int, code: str, today: date) -> ParcelPacking | None:
    """How the parcel `code` of a show is packed; None if there is none. Nine queries."""
    parcel = Parcel.objects.filter(show=show_pk, code=code).select_related("show", "mailer").first()
    if parcel is None:
        return None
    ground = read_packing_ground(parcel.show, today=today)
    inside = Copy.objects.filter(parcel_copy__parcel=parcel, state=Copy.State.SPOKEN_FOR).order_by("edition", "number")
    copies = tuple(inside.select_related("edition", "pledge", "line"))
    printed = [one for one in map(as_printed_copy, copies) if one]
    is_open = parcel.state != Parcel.State.POSTED and bool(printed)
    return ParcelPacking(
        parcel=parcel,
        copies=copies,
        mailers=ground.mailers,
        left=dict(ground.left),
        faults=faults_of(ground, parcel=parcel, copies=printed) if is_open else (),
    )


def faults_of(ground: PackingGround, *, parcel: Parcel, copies: Sequence[PrintedCopy]) -> tuple[str, ...]:
    """What stands against a parcel as its row has it."""
    fields = {name: getattr(parcel, name) for name in ParcelSums.__slots__}
    return parcel_faults(ground, address=parcel.address, copies=copies, mailer=parcel.mailer, sums=ParcelSums(**fields))


def copies_in(parcels: Sequence[Parcel]) -> dict[int, list[PrintedCopy]]:
    """What belongs in each of `parcels`, by its key; without what was cancelled. One query."""
    inside: dict[int, list[PrintedCopy]] = {parcel.pk: [] for parcel in parcels}
    copies = Copy.objects.filter(parcel_copy__parcel__in=parcels).order_by("edition", "number")
    for copy in copies.select_related("edition", "pledge", "line", "parcel_copy"):
        printed = as_printed_copy(copy)
        if printed:
            inside[copy.parcel_copy.parcel_id].append(printed)
    return inside


@dataclass(frozen=True, slots=True)
class PackingState:
    """
    What the room Send says of packing: copies that are refused, what stands against parcels to be packed, by key.

    `short` are mailers of which parcels have more than there are, with how many must be bought.
    """

    refused: tuple[RefusedGroup, ...]
    faults: dict[int, tuple[str, ...]]
    short: tuple[tuple[Mailer, int], ...]
    has_mailers: bool
    is_set_up: bool

    @property
    def refused_alike(self) -> tuple[tuple[tuple[str, ...], tuple[RefusedGroup, ...]], ...]:
        """The same reasons once, with everybody whom they keep from a parcel."""
        alike: dict[tuple[str, ...], list[RefusedGroup]] = {}
        for one in self.refused:
            alike.setdefault(one.reasons, []).append(one)
        return tuple((reasons, tuple(groups)) for reasons, groups in alike.items())


def read_packing_state(show: Show, *, today: date) -> PackingState:
    """What the rules say of the parcels of `show` as they are now. Eleven queries."""
    ground = read_packing_ground(show, today=today)
    waiting = list(Parcel.objects.filter(show=show, state=Parcel.State.TO_PACK).select_related("mailer"))
    inside = copies_in(waiting)
    faults = {
        parcel.pk: faults_of(ground, parcel=parcel, copies=inside[parcel.pk]) for parcel in waiting if inside[parcel.pk]
    }
    is_over = show.state == Show.State.PRINTED
    return PackingState(
        refused=plan_parcels(ground, read_ready_copies(show)).refused if is_over else (),
        faults={key: words for key, words in faults.items() if words},
        short=tuple((one, -ground.left[one.pk]) for one in ground.mailers if ground.left[one.pk] < 0),
        has_mailers=bool(ground.mailers),
        is_set_up=bool(ground.mailers and ground.leaves),
    )
