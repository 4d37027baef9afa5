"""How fast printing goes, from the days on which copies came out well, and when the rest is done at that pace."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True, slots=True)
class PrintingPace:
    """Days with their copies, oldest first; `days` is their span, days without a print between them included."""

    by_day: tuple[tuple[date, int], ...]
    printed: int
    days: int
    left: int
    done_on: date | None


def reckon_pace(printed_on: Iterable[date], *, left: int, today: date) -> PrintingPace:
    """
    The rest at the pace so far, which is all copies over all days from the first print to the last.

    Parameters: printed_on, the day of each copy that has come out well; left, copies still to be printed, >= 0.
    Returns: `done_on`, the day on which the last one comes out: counted from tomorrow if something came out today,
        else from today. None where nothing is left, or nothing was printed yet and there is no pace to go by.
    Notes: integers only; free days between two print days slow the pace as they will again, idle days after the
        last print do not, because they are no longer a pace.

    >>> monday = date(2026, 3, 9)
    >>> reckon_pace([monday] * 6 + [monday + timedelta(days=1)] * 4, left=11, today=date(2026, 3, 10)).done_on
    datetime.date(2026, 3, 13)
    """
    counts = sorted(Counter(printed_on).items())
    printed = sum(count for _, count in counts)
    if not printed:
        return PrintingPace(by_day=(), printed=0, days=0, left=left, done_on=None)
    last = counts[-1][0]
    days = (last - counts[0][0]).days + 1
    done_on = None
    if left:
        needed = -(-left * days // printed)
        done_on = today + timedelta(days=needed - (last < today))
    return PrintingPace(by_day=tuple(counts), printed=printed, days=days, left=left, done_on=done_on)
