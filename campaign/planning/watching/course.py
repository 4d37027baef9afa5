"""The course of a campaign: what was pledged and what was received by the end of each day."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True, slots=True)
class Move:
    """On a day so much was pledged (or withdrawn, below zero) or received (or given back, below zero); minor units."""

    on: date
    pledged_minor: int = 0
    received_minor: int = 0


@dataclass(frozen=True, slots=True)
class CourseDay:
    """By the end of a day: live pledges and money received so far, minor units."""

    on: date
    pledged_minor: int
    received_minor: int


def course(moves: Iterable[Move], *, first_on: date, last_on: date) -> tuple[CourseDay, ...]:
    """
    One entry for each day from `first_on` to `last_on`; what moved before counts on the first day, later moves do not.

    >>> day = date(2026, 3, 1)
    >>> [d.pledged_minor for d in course([Move(day, 500), Move(day, -200)], first_on=day, last_on=date(2026, 3, 2))]
    [300, 300]
    """
    pledged: defaultdict[date, int] = defaultdict(int)
    received: defaultdict[date, int] = defaultdict(int)
    for move in moves:
        if move.on <= last_on:
            pledged[max(move.on, first_on)] += move.pledged_minor
            received[max(move.on, first_on)] += move.received_minor
    days, so_far, came = [], 0, 0
    for number in range((last_on - first_on).days + 1):
        day = first_on + timedelta(days=number)
        so_far, came = so_far + pledged[day], came + received[day]
        days.append(CourseDay(day, so_far, came))
    return tuple(days)
