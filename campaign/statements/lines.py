"""What a statement comes to, whatever its format: movements on an account, and how two of them are told apart."""

import hashlib
import unicodedata
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

MAX_BYTES = 10_000_000
MAX_LINES = 50_000
FIRST_YEAR, LAST_YEAR = 1990, 2100


class StatementRefused(ValueError):
    """A file that cannot be read as a statement; the message is one or two plain sentences and names the place."""


@dataclass(frozen=True, slots=True)
class Movement:
    """
    One movement on the account.

    `amount_minor` is what the account moved by, below zero for money that left; `fee_minor`, zero or more, is what the
    bank took out of it on the way: a payment of 50.00 that arrives as 48.50 has 4850 and 150. `place` says where in
    the file it stands.
    """

    booked_on: date
    amount_minor: int
    currency: str
    value_on: date | None = None
    fee_minor: int = 0
    party_name: str = ""
    party_iban: str = ""
    reference: str = ""
    text: str = ""
    is_reversal: bool = False
    place: str = ""

    @property
    def sent_minor(self) -> int:
        """What the other side paid, or got: the amount before the bank's charges, never below zero."""
        if self.amount_minor > 0:
            return self.amount_minor + self.fee_minor
        return max(0, -self.amount_minor - self.fee_minor)


@dataclass(frozen=True, slots=True)
class Statement:
    """A file's movements in their order, the account if the file names it, and what was passed over, in sentences."""

    movements: tuple[Movement, ...]
    iban: str = ""
    notes: tuple[str, ...] = ()


def is_camt(data: bytes) -> bool:
    """True for what begins like XML, in any of the usual encodings; everything else is tried as CSV."""
    start = data[:400].replace(b"\x00", b"").lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n")
    return start.startswith(b"<")


def check_size(data: bytes) -> None:
    """Raises: StatementRefused for an empty file and for one of more than 10 MB."""
    if not data.strip(b"\x00 \t\r\n"):
        raise StatementRefused("The file is empty.")
    if len(data) > MAX_BYTES:
        raise StatementRefused(
            f"The file has {len(data) / 1_000_000:.1f} MB; {MAX_BYTES // 1_000_000} MB is the most. "
            "Ask the bank for a shorter time."
        )


def check_count(count: int) -> None:
    """Raises: StatementRefused for more than 50,000 lines."""
    if count > MAX_LINES:
        raise StatementRefused(f"The file has more than {MAX_LINES:,} lines. Ask the bank for a shorter time.")


def tidy(text: str, *, longest: int) -> str:
    """One line of readable characters, at most `longest` of them."""
    kept = "".join(c if not unicodedata.category(c).startswith("C") else " " for c in text)
    return " ".join(kept.split())[:longest].rstrip()


def is_plausible(day: date) -> bool:
    """False for a year in which nobody can have paid for this show."""
    return FIRST_YEAR <= day.year <= LAST_YEAR


def number_alike(movements: Sequence[Movement], *, scope: str) -> list[tuple[str, int]]:
    """
    For each movement a hash of what it says, and how many that read alike stand before it.

    Two equal payments on one day are two movements; the same file, or one that overlaps it by whole days, gives the
    same hashes again. `scope` keeps shows and accounts apart.
    Returns: pairs of 64 hexadecimal digits and a count from 0, in the order of `movements`.
    """
    seen: Counter[tuple[str, ...]] = Counter()
    numbered: list[tuple[str, int]] = []
    for one in movements:
        says = (
            one.booked_on.isoformat(), str(one.amount_minor), one.currency, one.party_name.casefold(),
            one.party_iban, one.reference, one.text.casefold(),
        )  # fmt: skip
        before = seen[says]
        seen[says] += 1
        joined = "\x1f".join((scope, *says, str(before)))
        numbered.append((hashlib.sha256(joined.encode()).hexdigest(), before))
    return numbered
