"""What a check says, and how one is gone through."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Finding:
    """What one check looked at, and the first difference in words; None when all agrees."""

    subject: str
    looked_at: int
    difference: str | None
    note: str = ""

    @property
    def line(self) -> str:
        """One line for the terminal."""
        verdict = f"DIFFERS: {self.difference}" if self.difference else "agrees"
        return f"{self.subject} ({self.looked_at}): {verdict}{f'; {self.note}' if self.note else ''}"


Check = Callable[[], Finding]


def finding(subject: str, differences: Iterable[str | None]) -> Finding:
    """Go through one check, which gives a value for everything it looks at: None where it agrees."""
    looked_at = 0
    for difference in differences:
        looked_at += 1
        if difference:
            return Finding(subject, looked_at, difference)
    return Finding(subject, looked_at, None)
