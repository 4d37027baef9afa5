"""What a certificate says of its edition, line by line, and what anybody may learn from the code on one."""

from collections.abc import Collection
from dataclasses import dataclass

from campaign.measures.lengths import format_size
from campaign.models import Edition, Studio
from fulfilment.models import Certificate, CertificateBatch, EditionFacts

NOT_KNOWN = "not known"
PROOF_CLASSES = (
    ("bon_a_tirer", "B.A.T."),
    ("printers_proofs", "P.P."),
    ("trial_proofs", "T.P."),
    ("cancellation_proofs", "C.P."),
)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the certificate; `is_known` False where it says that nobody knows."""

    name: str
    words: str

    @property
    def is_known(self) -> bool:
        """Something is said."""
        return NOT_KNOWN not in self.words


def find_facts(edition: Edition) -> EditionFacts:
    """The facts of an edition, or empty ones, not saved."""
    return EditionFacts.objects.filter(edition=edition).first() or EditionFacts(edition=edition)


def certificate_lines(edition: Edition, *, facts: EditionFacts, studio: Studio) -> tuple[Line, ...]:
    """
    Everything the laws that were read ask for together, in their order; what is empty says that it is not known.

    Source: New York Arts and Cultural Affairs Law §15.03, HRS 481F-4, OCGA 10-1-432, Maryland CL 14-504.
    """
    work = edition.work
    said = (
        ("Artist", studio.artist_name),
        ("Title", edition.title),
        ("Year of the work", work.year if work else ""),
        ("Year printed", str(facts.year_printed or "")),
        ("Medium and process", facts.process or (work.medium if work else "")),
        ("Paper", edition.paper),
        ("Size", format_size(edition.width_mm, edition.height_mm, unit=edition.show.length_unit)),
        ("Signed", facts.signing),
        ("Reproduction of another medium", _reproduction(facts)),
        ("Master made by", facts.master_by),
        ("Printed by", facts.printed_by),
        ("Approved by the artist", facts.is_approved),
        ("Posthumous", facts.is_posthumous),
        ("Limited edition", f"yes, {edition.size} numbered copies"),
        ("Unnumbered copies", _count(facts.unnumbered)),
        ("Proofs outside the count", _proofs(edition, facts=facts)),
        ("Hors commerce (H.C.)", _count(facts.hors_commerce)),
        ("Total edition", _total(edition, facts=facts)),
        ("Master afterwards", facts.get_master_after_display() if facts.master_after else ""),
        ("Other editions from the master", facts.other_editions),
        ("Sold by", studio.artist_name),
    )
    return tuple(Line(name, words or NOT_KNOWN) for name, words in said)


def _reproduction(facts: EditionFacts) -> str:
    if facts.is_reproduction == EditionFacts.Known.YES:
        return f"yes, of: {facts.original_medium or NOT_KNOWN}"
    return facts.is_reproduction


def _count(count: int | None) -> str:
    return "" if count is None else str(count) if count else "none"


def _proofs(edition: Edition, *, facts: EditionFacts) -> str:
    counts = [("A.P.", edition.proofs), *((mark, getattr(facts, name)) for name, mark in PROOF_CLASSES)]
    return ", ".join(f"{mark} {NOT_KNOWN if count is None else count}" for mark, count in counts)


def _total(edition: Edition, *, facts: EditionFacts) -> str:
    others = [facts.unnumbered, facts.hors_commerce, *(getattr(facts, name) for name, _ in PROOF_CLASSES)]
    total = edition.size + edition.proofs + sum(count or 0 for count in others)
    return f"at least {total}; the rest {NOT_KNOWN}" if None in others else f"{total}, copies and proofs together"


def find_certificate(code: str) -> Certificate | None:
    """The certificate with this code, with what its public page says."""
    rows = Certificate.objects.select_related("copy__edition__show")
    return rows.filter(code=code.upper()).first()


def list_batches(edition: Edition) -> list[CertificateBatch]:
    """What jobs were asked for certificates of an edition, the newest first."""
    return list(CertificateBatch.objects.filter(edition=edition).select_related("job").order_by("-pk"))


def list_valid(edition: Edition, *, numbers: Collection[int] = ()) -> list[Certificate]:
    """The certificates of an edition that hold, by number; with `numbers` of these copies only."""
    rows = Certificate.objects.filter(copy__edition=edition, voided_at=None).select_related("copy__edition__show")
    if numbers:
        rows = rows.filter(copy__number__in=numbers)
    return [row for row in rows.order_by("copy__number") if row.is_valid]
