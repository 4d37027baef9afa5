"""Which posting date to state when prints are ordered: the planned one and a month of slack."""

from dataclasses import dataclass
from datetime import date, timedelta

BUFFER_DAYS = 30


@dataclass(frozen=True, slots=True)
class PostingAdvice:
    """When the last print can be posted as things are planned, what is advised to state, and what is stated."""

    planned_on: date
    advised_on: date
    stated_on: date

    @property
    def is_too_soon(self) -> bool:
        """The stated day cannot be kept even if everything goes as planned."""
        return self.stated_on < self.planned_on

    @property
    def is_tight(self) -> bool:
        """It can be kept only if nearly nothing goes wrong."""
        return self.stated_on < self.advised_on


def advise_posting(*, planned_on: date, stated_on: date) -> PostingAdvice:
    """
    A posting date with slack, beside the one that is stated.

    Parameters: planned_on, the day on which the last print can be posted by the schedule, nothing going wrong.
    Notes: over three quarters of the funded projects of a large study delivered later than they had promised; the
        month is the slack that follows from its mean delay of a little over a month (from memory).
    Source: Mollick, "The dynamics of crowdfunding", Journal of Business Venturing 29 (2014), abstract.

    >>> advise_posting(planned_on=date(2026, 5, 20), stated_on=date(2026, 6, 1)).advised_on
    datetime.date(2026, 6, 19)
    """
    return PostingAdvice(planned_on, planned_on + timedelta(days=BUFFER_DAYS), stated_on)
