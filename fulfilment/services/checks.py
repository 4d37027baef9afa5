"""Recomputes what printing and posting derive from their rows. Reads only; beside campaign/services/checks.py."""

from collections import Counter
from collections.abc import Iterator, Sequence

from campaign.models import Copy, OutboxMessage, Pledge, Show
from campaign.services import checks as campaign_checks
from campaign.services.checks import Check, Finding, finding
from fulfilment.models import Impression, Parcel, ParcelCopy, ParcelEvent
from fulfilment.packing import PrintedCopy, leaves_customs_area, recipient_key
from fulfilment.queries.parcel_packing import copies_in
from fulfilment.services import paper_checks, register_checks


def check_parcels() -> Finding:
    """Parcels are numbered 1 to N in each show, and none that is posted is empty."""
    return finding("parcels of each show", _parcels())


def _parcels() -> Iterator[str | None]:
    filled = set(ParcelCopy.objects.values_list("parcel", flat=True))
    for show in Show.objects.all():
        parcels = list(Parcel.objects.filter(show=show).order_by("number"))
        empty = [parcel.number for parcel in parcels if parcel.posted_at and parcel.pk not in filled]
        if [parcel.number for parcel in parcels] != list(range(1, len(parcels) + 1)):
            yield f"the parcels of {show.code} are not numbered 1 to {len(parcels)}"
        else:
            yield f"parcel {empty[0]} of {show.code} is empty" if empty else None


def check_parcel_copies() -> Finding:
    """What is in a parcel is a paid order's own copy, or one that was cancelled since and that nobody else can get."""
    return finding("copies in parcels", _parcel_copies())


def _parcel_copies() -> Iterator[str | None]:
    rows = ParcelCopy.objects.select_related("parcel", "copy__pledge", "copy__edition")
    for row in rows.iterator():
        pledge, parcel = row.copy.pledge, row.parcel
        if not row.copy.is_packed:
            yield f"parcel {parcel.number} holds copy {row.copy.number}, which somebody else could get"
        elif pledge is None:
            yield None  # cancelled after it was numbered; comes out when the rest is posted
        elif pledge.state != Pledge.State.PAID:
            yield f"parcel {parcel.number} holds copy {row.copy.number}, which no paid order has"
        elif pledge.show_id != parcel.show_id:
            yield f"parcel {parcel.number} holds a copy of another show"
        else:
            yield None
    for copy in Copy.objects.filter(is_packed=True, parcel_copy=None):
        yield f"copy {copy.number} counts as packed and is in no parcel"


def check_parcel_addresses() -> Finding:
    """A parcel that is not posted goes where each order in it says, capitals, spaces and commas apart."""
    return finding("addresses of parcels", _parcel_addresses())


def _parcel_addresses() -> Iterator[str | None]:
    numbered = ParcelCopy.objects.filter(copy__state=Copy.State.SPOKEN_FOR).exclude(parcel__state=Parcel.State.POSTED)
    for row in numbered.select_related("parcel", "copy__pledge", "copy__line").iterator():
        parcel, pledge, line = row.parcel, row.copy.pledge, row.copy.line
        if pledge is None or line is None:
            continue
        goes_to = recipient_key(name=parcel.name, email=parcel.email, address=parcel.address.items())
        address = line.address or pledge.address
        wanted = recipient_key(name=line.recipient_name or pledge.name, email=pledge.email, address=address.items())
        yield None if goes_to == wanted else f"parcel {parcel.number} goes elsewhere than order {pledge.code} says"


def check_notices() -> Finding:
    """Who was noticed of a parcel has a mail, and nobody was noticed of one that is not posted."""
    return finding("notices of parcels", _notices())


def _notices() -> Iterator[str | None]:
    keys = Counter(OutboxMessage.objects.filter(name="parcel_posted").values_list("key", flat=True))
    for parcel in Parcel.objects.exclude(noticed_at=None):
        if parcel.state != Parcel.State.POSTED:
            yield f"parcel {parcel.code} is noticed but not posted"
        else:
            yield None if keys[parcel.notice_key] else f"parcel {parcel.code} has no notice in the outbox"


def check_parcel_history() -> Finding:
    """A parcel is packed and posted exactly as the newest acts in its history say, each posting after the last."""
    return finding("history of parcels", _parcel_history())


def _parcel_history() -> Iterator[str | None]:
    kinds = ParcelEvent.Kind
    for parcel in Parcel.objects.prefetch_related("events"):
        events = [event.kind for event in parcel.events.all()]
        again = events.count(kinds.SENT_AGAIN)
        now = events[len(events) - events[::-1].index(kinds.SENT_AGAIN) :] if again else events
        name = f"parcel {parcel.number} of show {parcel.show_id}"
        if (_newest(now, kinds.PACKED, kinds.UNPACKED) == kinds.PACKED) != (parcel.packed_at is not None):
            yield f"{name} does not know whether it is packed"
        elif _newest(now, kinds.POSTED, kinds.NOT_POSTED) == (kinds.NOT_POSTED if parcel.is_posted else kinds.POSTED):
            yield f"{name} does not know whether it is posted"  # older ones were posted without a history
        else:
            yield None if parcel.posting == 1 + again else f"{name} miscounts its postings"


def _newest(events: list[str], *kinds: str) -> str:
    """The last of `events` that is one of `kinds`, empty if none is."""
    return next((kind for kind in reversed(events) if kind in kinds), "")


def check_parcel_sums() -> Finding:
    """A parcel is worth what was paid for its copies, in a mailer of its show; one to pack knows its customs note."""
    return finding("sums of parcels", _parcel_sums())


def _parcel_sums() -> Iterator[str | None]:
    parcels = list(Parcel.objects.exclude(value_minor=0).select_related("show", "mailer"))  # 0: numbered before sums
    cancelled = ParcelCopy.objects.exclude(copy__state=Copy.State.SPOKEN_FOR).values_list("parcel", flat=True)
    unsettled, inside = set(cancelled), copies_in(parcels)
    for parcel in parcels:
        name, copies = f"parcel {parcel.number} of {parcel.show.code}", inside[parcel.pk]
        value_minor = sum(copy.value_minor for copy in copies)
        if parcel.mailer and parcel.mailer.show_id != parcel.show_id:
            yield f"{name} travels in a mailer of another show"
        elif copies and parcel.pk not in unsettled and value_minor != parcel.value_minor:
            yield f"{name} says it is worth {parcel.value_minor}, its copies {value_minor}"
        elif _is_to_go(parcel, copies=copies) and bool(parcel.customs_note) != _leaves(parcel):
            yield f"{name} does not know whether it leaves the customs area"
        else:
            yield None


def _is_to_go(parcel: Parcel, *, copies: Sequence[PrintedCopy]) -> bool:
    """To be packed, for somebody who was not removed, with something left in it."""
    return parcel.state == Parcel.State.TO_PACK and bool(parcel.address) and bool(copies)


def _leaves(parcel: Parcel) -> bool:
    to = {key: str(value) for key, value in parcel.address.items()}
    return leaves_customs_area(
        from_country=parcel.show.country, to_country=to.get("country_code", ""), to_postcode=to.get("postal_code", "")
    )


def check_copy_marks() -> Finding:
    """A copy knows that it is printed and posted exactly when its rows say so."""
    return finding("marks of the copies", _copy_marks())


def _copy_marks() -> Iterator[str | None]:
    printed = set(Impression.objects.values_list("copy", flat=True))
    posted = set(ParcelCopy.objects.filter(parcel__state=Parcel.State.POSTED).values_list("copy", flat=True))
    for copy in Copy.objects.select_related("edition").iterator():
        if copy.is_printed != (copy.pk in printed):
            yield f"copy {copy.number} of {copy.edition.code} does not know whether it is printed"
        elif copy.is_posted != (copy.pk in posted):
            yield f"copy {copy.number} of {copy.edition.code} does not know whether it is posted"
        else:
            yield None


CHECKS: tuple[Check, ...] = (
    check_parcels,
    check_parcel_copies,
    check_parcel_addresses,
    check_notices,
    check_parcel_history,
    check_parcel_sums,
    check_copy_marks,
    *register_checks.CHECKS,
    *paper_checks.CHECKS,
)
# The campaign's and these: everything there is to recount.
ALL_CHECKS: tuple[Check, ...] = (*campaign_checks.CHECKS, *CHECKS)
