"""Which copies are to be printed, which have come out, and which can travel."""

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from campaign.addresses import AddressError, normalise_address
from campaign.models import Copy, Edition, Show
from fulfilment.models import CLOSED, CopyEvent
from fulfilment.packing import PrintedCopy
from fulfilment.packing.copy_history import CopyHistory
from fulfilment.packing.printing_pace import PrintingPace, reckon_pace
from fulfilment.queries.histories import read_histories

SPOKEN_FOR, HELD = Copy.State.SPOKEN_FOR, Copy.State.HELD


@dataclass(frozen=True, slots=True)
class CopyLine:
    """One copy as the Print room lists it; `printed_at` None while it is to be printed."""

    number: int
    order_code: str
    name: str
    printed_at: datetime | None
    parcel_number: int | None
    signed_at: datetime | None = None
    spoilings: int = 0
    is_closed_in: bool = False  # its parcel is packed or posted


@dataclass(frozen=True, slots=True)
class EditionSheet:
    """An edition's copies that are spoken for, by number, and how many more are held by orders not paid yet."""

    edition: Edition
    lines: tuple[CopyLine, ...]
    held: int

    @property
    def to_print(self) -> tuple[CopyLine, ...]:
        """Paid for and not printed."""
        return tuple(line for line in self.lines if line.printed_at is None)

    @property
    def spoken_for(self) -> int:
        """How many are paid for."""
        return len(self.lines)

    @property
    def unpacked(self) -> int:
        """How many have no parcel yet, so that their marks can still change."""
        return sum(line.parcel_number is None for line in self.lines)

    @property
    def printed(self) -> int:
        """How many have come out well."""
        return len(self.lines) - len(self.to_print)

    @property
    def signed(self) -> int:
        """How many of the printed ones are signed."""
        return sum(line.signed_at is not None for line in self.lines)

    @property
    def spoiled(self) -> int:
        """How many sheets were spoiled for these copies."""
        return sum(line.spoilings for line in self.lines)

    @property
    def open_lines(self) -> int:
        """How many can still be marked."""
        return sum(not line.is_closed_in for line in self.lines)


def read_sheets(show: Show) -> tuple[EditionSheet, ...]:
    """Every edition of `show` with its copies that somebody has or holds; three queries."""
    editions = list(show.editions.all())
    rows = (
        Copy.objects.filter(edition__in=editions, state__in=[SPOKEN_FOR, HELD])
        .order_by("edition", "number")
        .values_list(
            "edition_id", "state", "pk", "number", "pledge__code", "pledge__name", "impression__printed_at",
            "parcel_copy__parcel__number", "parcel_copy__parcel__state",
        )
    )  # fmt: skip
    lines: dict[int, list[CopyLine]] = {edition.pk: [] for edition in editions}
    held = dict.fromkeys(lines, 0)
    histories = read_histories(CopyEvent.objects.filter(copy__edition__in=editions))
    for edition_pk, state, pk, number, code, name, printed_at, parcel_number, parcel_state in rows:
        if state == HELD:
            held[edition_pk] += 1
            continue
        history = histories.get(pk, CopyHistory())
        lines[edition_pk].append(
            CopyLine(
                number=number, order_code=str(code), name=str(name), printed_at=printed_at,
                parcel_number=parcel_number, signed_at=history.signed_at, spoilings=history.spoilings,
                is_closed_in=parcel_state in CLOSED,
            )
        )  # fmt: skip
    return tuple(EditionSheet(edition, tuple(lines[edition.pk]), held[edition.pk]) for edition in editions)


def pace_of(sheet: EditionSheet, *, zone: ZoneInfo, today: date) -> PrintingPace:
    """How many came out on which day at the show's place, and when the rest is done if it goes on like that."""
    days = [line.printed_at.astimezone(zone).date() for line in sheet.lines if line.printed_at]
    return reckon_pace(days, left=len(sheet.to_print), today=today)


def list_unprinted(show: Show) -> tuple[str, ...]:
    """The copies that are paid for and not printed, as "12/80", with the edition's title where there are several."""
    copies = list(
        Copy.objects.filter(edition__show=show, state=SPOKEN_FOR, impression=None)
        .select_related("edition")
        .order_by("edition", "number")
    )
    is_plain = len({copy.edition_id for copy in copies}) < 2
    return tuple(str(copy) if is_plain else f"{copy.edition.title} {copy}" for copy in copies)


def read_ready_copies(show: Show, *, with_unprinted: bool = False) -> tuple[PrintedCopy, ...]:
    """
    The copies that are paid for and printed and have no parcel yet, with name and address as the order has them.

    What is for a friend goes to the friend; the e-mail address is always the backer's, who is told of the parcel.
    `with_unprinted`: those that are still to be printed as well.
    """
    copies = Copy.objects.filter(edition__show=show, state=SPOKEN_FOR, parcel_copy=None)
    if not with_unprinted:
        copies = copies.filter(impression__isnull=False)
    travelling = copies.select_related("edition", "pledge", "line").order_by("pk")
    return tuple(one for one in map(as_printed_copy, travelling) if one)


def as_printed_copy(copy: Copy) -> PrintedCopy | None:
    """A copy as it travels, None for one that is nobody's. Wants edition, pledge and line at hand."""
    if not (copy.pledge and copy.line):  # the database keeps a spoken-for copy with its pledge and line
        return None
    return PrintedCopy(
        key=copy.pk,
        number=copy.number,
        edition_code=copy.edition.code,
        mass_g=copy.edition.mass_g,
        name=copy.line.recipient_name or copy.pledge.name,
        email=copy.pledge.email,
        address=tuple(sorted((copy.line.address or copy.pledge.address).items())),
        value_minor=copy.line.prints_minor // copy.line.copies,
    )


def list_unfit_orders(show: Show) -> tuple[str, ...]:
    """Codes of the orders whose copies are ready but from whose address no label can be made."""
    copies = Copy.objects.filter(edition__show=show, state=SPOKEN_FOR, impression__isnull=False, parcel_copy=None)
    unfit = {
        copy.pledge.code
        for copy in copies.select_related("pledge", "line")
        if copy.pledge
        and copy.line
        and not _is_fit(copy.line.recipient_name or copy.pledge.name, copy.line.address or copy.pledge.address)
    }
    return tuple(sorted(unfit))


def _is_fit(name: str, address: dict[str, str]) -> bool:
    try:
        normalise_address(address.get("country_code", ""), {**address, "name": name})
    except AddressError:
        return False
    return True
