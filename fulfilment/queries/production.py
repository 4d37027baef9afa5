"""Which copies are to be printed, which have come out, and which can travel."""

from dataclasses import dataclass
from datetime import datetime

from campaign.addresses import AddressError, normalise_address
from campaign.models import Copy, Edition, Show
from fulfilment.packing import PrintedCopy

SPOKEN_FOR, HELD = Copy.State.SPOKEN_FOR, Copy.State.HELD


@dataclass(frozen=True, slots=True)
class CopyLine:
    """One copy as the Print room lists it; `printed_at` None while it is to be printed."""

    number: int
    order_code: str
    name: str
    printed_at: datetime | None
    parcel_number: int | None


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


def read_sheets(show: Show) -> tuple[EditionSheet, ...]:
    """Every edition of `show` with its copies that somebody has or holds; three queries."""
    editions = list(show.editions.all())
    rows = (
        Copy.objects.filter(edition__in=editions, state__in=[SPOKEN_FOR, HELD])
        .order_by("edition", "number")
        .values_list(
            "edition_id", "state", "number", "pledge__code", "pledge__name", "impression__printed_at",
            "parcel_copy__parcel__number",
        )
    )  # fmt: skip
    lines: dict[int, list[CopyLine]] = {edition.pk: [] for edition in editions}
    held = dict.fromkeys(lines, 0)
    for edition_pk, state, number, code, name, printed_at, parcel_number in rows:
        if state == HELD:
            held[edition_pk] += 1
        else:
            lines[edition_pk].append(CopyLine(number, str(code), str(name), printed_at, parcel_number))
    return tuple(EditionSheet(edition, tuple(lines[edition.pk]), held[edition.pk]) for edition in editions)


def list_unprinted(show: Show) -> tuple[str, ...]:
    """The copies that are paid for and not printed, as "12/80", with the edition's title where there are several."""
    copies = list(
        Copy.objects.filter(edition__show=show, state=SPOKEN_FOR, impression=None)
        .select_related("edition")
        .order_by("edition", "number")
    )
    is_plain = len({copy.edition_id for copy in copies}) < 2
    return tuple(str(copy) if is_plain else f"{copy.edition.title} {copy}" for copy in copies)


def read_ready_copies(show: Show) -> tuple[PrintedCopy, ...]:
    """
    The copies that are paid for and printed and have no parcel yet, with name and address as the order has them.

    What is for a friend goes to the friend; the e-mail address is always the backer's, who is told of the parcel.
    """
    copies = Copy.objects.filter(
        edition__show=show, state=SPOKEN_FOR, impression__isnull=False, parcel_copy=None
    ).select_related("edition", "pledge", "line")
    return tuple(
        PrintedCopy(
            key=copy.pk,
            number=copy.number,
            edition_code=copy.edition.code,
            mass_g=copy.edition.mass_g,
            name=copy.line.recipient_name or copy.pledge.name,
            email=copy.pledge.email,
            address=tuple(sorted((copy.line.address or copy.pledge.address).items())),
        )
        for copy in copies.order_by("pk")
        if copy.pledge and copy.line  # always: the database keeps a spoken-for copy with its pledge and line
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
