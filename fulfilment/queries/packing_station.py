"""What the packing station shows and holds: what belongs in each parcel, how many are packed and how fast."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from campaign.addresses import country_name
from campaign.models import Copy, Show
from fulfilment.models import Certificate, Parcel, ParcelCopy
from fulfilment.packing.pace import parcels_an_hour
from fulfilment.packing.scans import copy_spellings, parcel_number, tidy_scan

State = Parcel.State


@dataclass(frozen=True, slots=True)
class StationCopy:
    """A copy that belongs in a parcel; `scans` are the tidied scans by which it is confirmed."""

    key: str
    label: str
    title: str
    scans: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StationParcel:
    """
    A parcel as it is packed; no address beyond name and country.

    `said` is why it is not to be packed, empty if it is; `can_open` if it is packed and could be opened again;
    `take_out` are copies that were cancelled, so they stay out; `mailer` is what it travels in, empty where unsaid.
    """

    code: str
    number: int
    state: str
    name: str
    country: str
    mass_g: int
    mailer: str
    copies: tuple[StationCopy, ...]
    take_out: tuple[str, ...]
    needs_new_note: bool  # what is taken out stands on its customs note
    said: str

    @property
    def can_open(self) -> bool:
        """Packed and not posted."""
        return self.state == State.PACKED


@dataclass(frozen=True, slots=True)
class Station:
    """Every parcel of a show by number, and how far packing is; `said` if none is to be packed at all."""

    parcels: tuple[StationParcel, ...]
    packed: int
    left: int
    pace: int | None
    said: str

    @property
    def minutes_left(self) -> int | None:
        """How long the rest takes at this pace; None while there is no pace or no rest."""
        return -(-self.left * 60 // self.pace) if self.pace and self.left else None

    def find(self, scan: str) -> StationParcel | None:
        """The parcel with this code, or with this running number."""
        tidied = tidy_scan(scan)
        number = parcel_number(tidied)
        by_code = next((one for one in self.parcels if one.code == tidied), None)
        return by_code or next((one for one in self.parcels if one.number == number), None)


def copy_key(copy: Copy) -> str:
    """What names a copy between the page and the site: its print and its number."""
    return f"{copy.edition.code}/{copy.number}"


def why_not_packed(parcel: Parcel, *, zone: ZoneInfo) -> str:
    """One sentence on why a parcel is not to be packed now, empty if its own state allows it."""
    if parcel.state == State.PACKED and parcel.packed_at:
        who = f" by {parcel.packed_by}" if parcel.packed_by else ""
        return f"Parcel {parcel.number} is packed already{who}, {_moment(parcel.packed_at, zone=zone)}."
    if parcel.state == State.POSTED and parcel.posted_at:
        return f"Parcel {parcel.number} was posted on {parcel.posted_at.astimezone(zone):%-d %B %Y}."
    return ""


def _moment(moment: datetime, *, zone: ZoneInfo) -> str:
    return f"{moment.astimezone(zone):%-d %B %Y at %H:%M}"


def read_station(show: Show, *, now: datetime) -> Station:
    """The whole station of `show`; three queries, and one for the certificates."""
    inside: dict[int, list[Copy]] = {}
    rows = ParcelCopy.objects.filter(parcel__show=show).select_related("copy__edition")
    for row in rows.order_by("copy__edition", "copy__number"):
        inside.setdefault(row.parcel_id, []).append(row.copy)
    certificates = _certificate_codes(show)
    called_off = "This show is called off. Nothing is packed any more." if show.state == Show.State.CALLED_OFF else ""
    parcels = list(Parcel.objects.filter(show=show).select_related("mailer").order_by("number"))
    lines = tuple(
        _station_parcel(
            parcel, copies=inside.get(parcel.pk, []), certificates=certificates, zone=show.zone, called_off=called_off
        )
        for parcel in parcels
    )
    return Station(
        parcels=lines,
        packed=sum(parcel.state != State.TO_PACK for parcel in parcels),
        left=sum(not line.said for line in lines),
        pace=parcels_an_hour([parcel.packed_at for parcel in parcels if parcel.packed_at], now=now),
        said=called_off,
    )


def _certificate_codes(show: Show) -> dict[int, tuple[str, ...]]:
    """The codes of the certificates that count, by copy."""
    counting = Certificate.objects.filter(copy__parcel_copy__parcel__show=show, voided_at=None)
    return {copy: (code,) for copy, code in counting.values_list("copy", "code")}


def _station_parcel(
    parcel: Parcel, *, copies: list[Copy], certificates: Mapping[int, tuple[str, ...]], zone: ZoneInfo, called_off: str
) -> StationParcel:
    kept = [copy for copy in copies if copy.state == Copy.State.SPOKEN_FOR]
    spoiled = ", ".join(str(copy) for copy in kept if not copy.is_printed)
    waits = f"Parcel {parcel.number} waits: {spoiled} was spoiled and is to be printed again." if spoiled else ""
    cancelled = f"Every order in parcel {parcel.number} was cancelled. Do not pack it." if not kept else ""
    return StationParcel(
        code=parcel.code,
        number=parcel.number,
        state=parcel.state,
        name=parcel.name,
        country=country_name(parcel.address.get("country_code", "")),
        mass_g=parcel.mass_g,
        mailer=str(parcel.mailer or ""),
        copies=tuple(_station_copy(copy, codes=certificates.get(copy.pk, ())) for copy in kept),
        take_out=tuple(f"{copy.edition.title} {copy}" for copy in copies if copy.state != Copy.State.SPOKEN_FOR),
        needs_new_note=bool(parcel.customs_note) and len(kept) < len(copies),
        said=why_not_packed(parcel, zone=zone) or called_off or cancelled or waits,
    )


def _station_copy(copy: Copy, *, codes: tuple[str, ...]) -> StationCopy:
    edition = copy.edition
    return StationCopy(
        key=copy_key(copy),
        label=str(copy),
        title=edition.title,
        scans=copy_spellings(number=copy.number, size=edition.size, edition_code=edition.code, codes=codes),
    )


@dataclass(frozen=True, slots=True)
class Step:
    """What a scan led to: the parcel in hand and what of it is confirmed; `is_wrong` stops the hand."""

    parcel: StationParcel | None = None
    confirmed: tuple[str, ...] = ()
    said: str = ""
    is_wrong: bool = False

    @property
    def is_complete(self) -> bool:
        """Everything that belongs in the parcel has been confirmed, by this scan."""
        wanted = {copy.key for copy in self.parcel.copies} if self.parcel else set()
        return bool(wanted) and not self.is_wrong and not self.said and wanted == set(self.confirmed)


def take_scan(station: Station, *, code: str, confirmed: tuple[str, ...], scan: str) -> Step:
    """
    What `scan` does while the parcel `code` (empty for none) is in hand and `confirmed` of its copies are in.

    packing-station.js does the same from the same spellings while there is no connection.
    """
    parcel = next((one for one in station.parcels if one.code == code), None) if code else None
    if parcel is None:
        return _take_slip(station, scan=scan)
    if parcel.said:
        return Step(parcel=parcel, said=parcel.said, is_wrong=True)
    tidied = tidy_scan(scan)
    found = [copy for copy in parcel.copies if tidied in copy.scans]
    fresh = [copy for copy in found if copy.key not in confirmed]
    if len(fresh) == 1:
        return Step(parcel=parcel, confirmed=(*confirmed, fresh[0].key))
    if fresh:
        named = " or ".join(copy.scans[2].lower() for copy in fresh)
        return Step(parcel, confirmed, f"Parcel {parcel.number} holds {fresh[0].label} of two prints. Type {named}.")
    if found:
        return Step(parcel, confirmed, f"{found[0].label} is confirmed already.")
    if tidied == parcel.code:
        return Step(parcel, confirmed, f"Parcel {parcel.number} is in hand. Now confirm what goes in.")
    return Step(parcel, confirmed, _wrong_words(station, parcel=parcel, scan=tidied), is_wrong=True)


def _take_slip(station: Station, *, scan: str) -> Step:
    parcel = station.find(scan)
    if parcel is None:
        said = f"No parcel of this show has the code {tidy_scan(scan)[:40]}. Scan the bar code of a slip."
        return Step(said=said, is_wrong=True)
    return Step(parcel=parcel, said=parcel.said, is_wrong=bool(parcel.said))


def _wrong_words(station: Station, *, parcel: StationParcel, scan: str) -> str:
    slip = next((one for one in station.parcels if one.code == scan), None)
    if slip:
        return (
            f"Stop. That is the slip of parcel {slip.number}, and parcel {parcel.number} is in hand. Finish it, or "
            "set it aside first."
        )
    homes = [(one, copy) for one in station.parcels for copy in one.copies if scan in copy.scans]
    if len(homes) == 1:
        home, copy = homes[0]
        return (
            f"Stop. {copy.label} does not belong in parcel {parcel.number}. It belongs in parcel {home.number}, for "
            f"{home.name}."
        )
    return f"Stop. {scan[:40]} does not belong in parcel {parcel.number}. Nothing was confirmed."
