"""Recomputes the edition register: marks of printing from events, and whom certificates are for. Reads only."""

from collections.abc import Iterator

from campaign.models import Copy
from campaign.services.checks import Check, Finding, finding
from fulfilment.models import Certificate, CopyEvent, Impression
from fulfilment.packing.copy_history import CopyHistory
from fulfilment.queries.histories import read_histories


def check_copy_events() -> Finding:
    """
    A copy is printed exactly when its events say so: the last print is later than the last spoiling.

    An artist's proof has events alone: nobody paid for it, so no mark says that making it was.
    """
    return finding("events of the copies", _copy_events())


def _copy_events() -> Iterator[str | None]:
    histories = read_histories(CopyEvent.objects.all())
    printed = set(Impression.objects.values_list("copy", flat=True))
    for copy in Copy.objects.filter(pk__in=printed | histories.keys()).select_related("edition"):
        if copy.state == Copy.State.PROOF:
            is_marked = copy.pk in printed
            yield f"proof {copy.number} of {copy.edition.code} has the mark of a numbered copy" if is_marked else None
            continue
        says_printed = histories.get(copy.pk, CopyHistory()).printed_at is not None
        if says_printed != (copy.pk in printed):
            word = "printed" if says_printed else "not printed"
            yield f"copy {copy.number} of {copy.edition.code} is {word} by its events and not by its mark"
        else:
            yield None


def check_certificates() -> Finding:
    """A certificate that is not voided is for a numbered copy, of a show that its order is for too."""
    return finding("certificates", _certificates())


def _certificates() -> Iterator[str | None]:
    rows = Certificate.objects.filter(voided_at=None).select_related("copy__edition", "pledge")
    seen: set[int] = set()
    for row in rows.iterator():
        if row.copy_id in seen:
            yield f"copy {row.copy.number} of {row.copy.edition.code} has two certificates that count"
        elif row.copy.state == Copy.State.PROOF or row.copy.number > row.copy.edition.size:
            yield f"certificate {row.code} is for no numbered copy"
        elif row.copy.edition.show_id != row.pledge.show_id:
            yield f"certificate {row.code} is for an order of another show"
        else:
            yield None
        seen.add(row.copy_id)


CHECKS: tuple[Check, ...] = (check_copy_events, check_certificates)
