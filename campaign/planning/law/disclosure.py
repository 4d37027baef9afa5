"""What laws of several states ask to be said of a limited print, and which of it an edition says."""

from dataclasses import dataclass
from enum import StrEnum

PHOTOGRAPH_COPIES = 30  # Directive 2006/112/EC Annex IX Part A(7), from memory


class Said(StrEnum):
    """Whether a point is said."""

    FILLED = "filled"
    READ = "read"  # only the artist can tell whether the words say it
    MISSING = "missing"


@dataclass(frozen=True, slots=True)
class EditionFacts:
    """What is known of an edition; empty text where nothing is."""

    artist: str
    title: str
    year: str
    process: str
    paper: str
    size_words: str
    copies: int
    proofs: int
    description: str


@dataclass(frozen=True, slots=True)
class Point:
    """One thing to say, what is said of it, and whether that will do."""

    name: str
    words: str
    said: Said


# Asked for by the texts that were read, and kept in no field here: the words about the print have to say it.
IN_WORDS = (
    ("Signed, by whom and how", "such as “signed and numbered in pencil by the artist”"),
    ("Year it is printed", "the year of this edition, not of the work"),
    ("A reproduction of a work in another medium?", "and if so, of which medium"),
    ("Who made the master, and who prints", "yourself, or the workshop by name"),
    ("Master afterwards", "kept, altered or destroyed; a file counts as a master too"),
    ("Other editions from the same master", "earlier or planned, and how large each is"),
)


def read_disclosure(facts: EditionFacts) -> tuple[Point, ...]:
    """
    The points that satisfy the texts read together, in their order.

    Notes: the total is the numbered copies and all proofs. What only words can say is `READ` where there are words.
    Source: New York Arts and Cultural Affairs Law §15.03, HRS 481F-4, OCGA 10-1-432, Maryland CL 14-504; California
        Civil Code 1740 to 1745.5.
    """
    total = facts.copies + facts.proofs
    proofs = f"{facts.proofs}, marked A.P. and outside the count" if facts.proofs else "none"
    points = [
        _point("Artist", facts.artist),
        _point("Title", facts.title),
        _point("Year of the work", facts.year),
        _point("Medium and process", facts.process),
        _point("Paper", facts.paper),
        _point("Size", facts.size_words),
        _point("Limited, and numbered copies", f"yes: {facts.copies}, each with its number"),
        _point("Artist’s proofs", proofs),
        _point("Total edition", f"{total}, numbered copies and proofs together"),
    ]
    said = Said.READ if facts.description.strip() else Said.MISSING
    return (*points, *(Point(name, words, said) for name, words in IN_WORDS))


def _point(name: str, words: str) -> Point:
    return Point(name, words, Said.FILLED if words.strip() else Said.MISSING)


def counts_as_art_photograph(*, copies: int, proofs: int) -> bool:
    """
    Few enough for the EU's notion of an art photograph for value added tax: thirty, all sizes and mounts together.

    Source: Directive 2006/112/EC Annex IX Part A(7), from memory.

    >>> counts_as_art_photograph(copies=30, proofs=0), counts_as_art_photograph(copies=30, proofs=1)
    (True, False)
    """
    return copies + proofs <= PHOTOGRAPH_COPIES
