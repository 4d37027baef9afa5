"""Printed copies into parcels: one for each recipient at each address."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PrintedCopy:
    """
    A copy that is ready to travel.

    `key` names it to the caller and differs from copy to copy; `address` holds (field, value) pairs as the order has
    them; `mass_g` is that of one packed copy, `value_minor` what was paid for it without postage and tax.
    """

    key: int
    number: int
    edition_code: str
    mass_g: int
    name: str
    email: str
    address: tuple[tuple[str, str], ...]
    value_minor: int = 0


@dataclass(frozen=True, slots=True)
class PackedParcel:
    """What one recipient gets in one go; `copies` by edition and number, `mass_g` the sum of the packed copies."""

    name: str
    email: str
    address: tuple[tuple[str, str], ...]
    copies: tuple[PrintedCopy, ...]
    mass_g: int


def group_into_parcels(copies: Iterable[PrintedCopy]) -> tuple[PackedParcel, ...]:
    """
    One parcel for each person (e-mail and name) at each address, however many orders they placed.

    Two spellings are the same when they differ only in capitals, spaces and commas. Name and address are printed as
    the copy with the lowest key has them.
    Returns: parcels by country, postcode and name, so that those for one post counter lie together; the order of
        `copies` does not matter.

    >>> ada = dict(edition_code="e", mass_g=100, name="Ada", email="a@example.org", address=(("city", "Bern"),))
    >>> [p.mass_g for p in group_into_parcels([PrintedCopy(key=n, number=n, **ada) for n in (1, 2)])]
    [200]
    """
    groups: dict[tuple[object, ...], list[PrintedCopy]] = {}
    for copy in sorted(copies, key=lambda copy: copy.key):
        groups.setdefault(recipient_key(name=copy.name, email=copy.email, address=copy.address), []).append(copy)
    return tuple(sorted((_pack(group) for group in groups.values()), key=_place))


def share_out(
    copies: Iterable[PrintedCopy], *, parcels: Sequence[Sequence[tuple[str, int]]]
) -> tuple[tuple[PrintedCopy, ...], ...]:
    """
    Which copies go into which parcel: the lowest numbers of each edition into the first parcel that takes some of it.

    Parameters: parcels, for each the editions by code and how many of them; together they hold all of `copies`.

    >>> ada = dict(edition_code="e", mass_g=100, name="Ada", email="a@example.org", address=(("city", "Bern"),))
    >>> copies = [PrintedCopy(key=n, number=n, **ada) for n in (3, 1, 2)]
    >>> [[copy.number for copy in part] for part in share_out(copies, parcels=[[("e", 2)], [("e", 1)]])]
    [[1, 2], [3]]
    """
    left: dict[str, list[PrintedCopy]] = {}
    for copy in sorted(copies, key=lambda copy: (copy.number, copy.key)):
        left.setdefault(copy.edition_code, []).append(copy)
    shares = []
    for parcel in parcels:
        share: list[PrintedCopy] = []
        for code, count in sorted(parcel):
            share += left[code][:count]
            del left[code][:count]
        shares.append(tuple(share))
    assert not any(left.values()), "the parcels hold every copy"
    return tuple(shares)


def recipient_key(*, name: str, email: str, address: Iterable[tuple[str, str]]) -> tuple[object, ...]:
    """The same for two spellings of one recipient at one address."""
    fields = tuple(sorted((field, _folded(value)) for field, value in address if field != "name" and value))
    return email.strip().casefold(), _folded(name), fields


def _folded(text: str) -> str:
    return " ".join(text.replace(",", " ").split()).casefold()


def _pack(group: list[PrintedCopy]) -> PackedParcel:
    first = group[0]
    return PackedParcel(
        name=first.name,
        email=first.email,
        address=first.address,
        copies=tuple(sorted(group, key=lambda copy: (copy.edition_code, copy.number, copy.key))),
        mass_g=sum(copy.mass_g for copy in group),
    )


def _place(parcel: PackedParcel) -> tuple[str, str, str, str, int]:
    fields = dict(parcel.address)
    lowest = min(copy.key for copy in parcel.copies)
    return (
        fields.get("country_code", ""),
        _folded(fields.get("postal_code", "")),
        _folded(parcel.name),
        parcel.email.casefold(),
        lowest,
    )
