"""The edition register: every number with its state, whose it is, what was spoiled, and its certificate."""

from collections import Counter
from dataclasses import dataclass
from datetime import datetime

from campaign.models import Copy, Edition
from fulfilment.models import Certificate, CopyEvent, Parcel, ParcelCopy
from fulfilment.packing.copy_history import CopyHistory
from fulfilment.queries.histories import read_histories

State = Copy.State


@dataclass(frozen=True, slots=True)
class Spoiling:
    """One spoiled sheet."""

    happened_at: datetime
    note: str


@dataclass(frozen=True, slots=True)
class RegisterLine:
    """
    One number; `state` in the words of the page, `counted_as` the same without the parcel's number; name and order
    empty for what is nobody's.
    """

    number: int
    state: str
    counted_as: str
    name: str
    order_code: str
    history: CopyHistory
    spoilings: tuple[Spoiling, ...]
    certificate: Certificate | None
    earlier_certificates: int

    @property
    def is_certified(self) -> bool:
        """It has a certificate that holds."""
        return self.certificate is not None and self.certificate.is_valid


@dataclass(frozen=True, slots=True)
class Register:
    """An edition's numbers, 1 to N, with how many are in which state, its proofs, and the numbers without a row."""

    edition: Edition
    lines: tuple[RegisterLine, ...]
    proofs: tuple[RegisterLine, ...]
    missing: tuple[int, ...]

    @property
    def counts(self) -> tuple[tuple[str, int], ...]:
        """How many numbers are in each state, parcels taken together, in the order of first appearance."""
        states = Counter(line.counted_as for line in self.lines)
        return tuple(states.items())

    @property
    def spoiled(self) -> int:
        """How many sheets were spoiled, those of proofs with them."""
        return sum(len(line.spoilings) for line in (*self.lines, *self.proofs))

    @property
    def certified(self) -> int:
        """How many copies have a certificate that holds."""
        return sum(line.is_certified for line in self.lines)


def read_register(edition: Edition) -> Register:
    """All numbers of an edition and its proofs; five queries."""
    copies = list(Copy.objects.filter(edition=edition).select_related("pledge", "line").order_by("number"))
    parcels = {
        row.copy_id: row.parcel for row in ParcelCopy.objects.filter(copy__edition=edition).select_related("parcel")
    }
    histories = read_histories(CopyEvent.objects.filter(copy__edition=edition))
    spoilings: dict[int, list[Spoiling]] = {}
    spoiled = CopyEvent.objects.filter(copy__edition=edition, kind=CopyEvent.Kind.SPOILED).order_by("pk")
    for event in spoiled:
        spoilings.setdefault(event.copy_id, []).append(Spoiling(event.happened_at, event.note))
    certificates: dict[int, list[Certificate]] = {}
    for row in Certificate.objects.filter(copy__edition=edition).select_related("copy").order_by("pk"):
        certificates.setdefault(row.copy_id, []).append(row)
    lines: list[RegisterLine] = []
    proofs: list[RegisterLine] = []
    for copy in copies:
        history, parcel = histories.get(copy.pk, CopyHistory()), parcels.get(copy.pk)
        issued = certificates.get(copy.pk, [])
        newest = next((row for row in issued if row.voided_at is None), None)
        (proofs if copy.state == State.PROOF else lines).append(
            RegisterLine(
                number=copy.number,
                state=state_words(copy, history=history, parcel=parcel),
                counted_as=_in_parcel(copy, parcel) or state_words(copy, history=history, parcel=None),
                name=(copy.line.recipient_name if copy.line else "") or (copy.pledge.name if copy.pledge else ""),
                order_code=copy.pledge.code if copy.pledge else "",
                history=history,
                spoilings=tuple(spoilings.get(copy.pk, ())),
                certificate=newest,
                earlier_certificates=len(issued) - (newest is not None),
            )
        )
    present = {line.number for line in lines}
    missing = tuple(number for number in range(1, edition.size + 1) if number not in present)
    return Register(edition, tuple(lines), tuple(proofs), missing)


def _in_parcel(copy: Copy, parcel: Parcel | None) -> str:
    """Whether it is posted or lies in a parcel, in words; empty for neither."""
    if parcel and parcel.is_posted:
        return "posted"
    return "in a parcel" if parcel and copy.is_printed else ""


def state_words(copy: Copy, *, history: CopyHistory, parcel: Parcel | None) -> str:
    """The furthest that a copy, or a proof, has come."""
    if copy.state == State.PROOF:
        return "signed" if history.signed_at else "printed" if history.printed_at else "to print"
    if parcel and _in_parcel(copy, parcel):
        return f"{'posted ' if parcel.is_posted else ''}in parcel {parcel.number}"
    if copy.is_printed:
        word = "signed" if history.signed_at else "printed"
        return word if copy.pledge_id else f"{word}, nobody’s"
    words = {State.FREE: "free", State.OFFERED: "offered", State.HELD: "held", State.SPOKEN_FOR: "spoken for"}
    again = ", to print again" if history.spoilings and copy.state == State.SPOKEN_FOR else ""
    return words[State(copy.state)] + again
