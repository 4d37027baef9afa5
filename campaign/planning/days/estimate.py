"""Three-point estimates: how long something takes when nobody knows exactly."""

from dataclasses import dataclass
from fractions import Fraction

from campaign.planning.errors import InvalidRequest


@dataclass(frozen=True, slots=True)
class Estimate:
    """Expected duration and its variance, exact."""

    expected: Fraction
    variance: Fraction


def estimate_duration(*, optimistic: int, likely: int, pessimistic: int) -> Estimate:
    """
    The PERT estimate of a duration from three guesses in the same unit.

    Returns: (o + 4m + p) / 6 and ((p - o) / 6)².
    Raises: InvalidRequest unless 0 <= optimistic <= likely <= pessimistic.
    Source: D. G. Malcolm and others, Application of a technique for research and development program evaluation,
        Operations Research 7, 1959; checked in tests/outside/test_pert.py.

    >>> float(estimate_duration(optimistic=5, likely=6, pessimistic=7).expected)
    6.0
    """
    if not 0 <= optimistic <= likely <= pessimistic:
        found = (optimistic, likely, pessimistic)
        raise InvalidRequest(field="three guesses", found=found, expected="none below zero, the hopeful one first")
    return Estimate(
        expected=Fraction(optimistic + 4 * likely + pessimistic, 6),
        variance=Fraction(pessimistic - optimistic, 6) ** 2,
    )
