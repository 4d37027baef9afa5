"""
Where a campaign may end: a band, never a point, and nothing at all in the first days.

Campaigns are U-shaped: most backers come in the first and the last week (Kuppuswamy & Bayus, "Crowdfunding creative
ideas", 2018), and most that succeed in the end are behind at three quarters of the time (Crosetto & Regner, Research
Policy 47, 2018). So what has come is not drawn out in a straight line. The shares below are an assumption of ours, not
from a paper: of every 45 orders 3 come on each of the first days, 1 in the middle, 2 and 3 towards the end.
"""

from dataclasses import dataclass
from math import sqrt

# (share of the time, weight of a day there); cumulated they are the U.
_SHAPE = ((4 / 30, 3.0), (25 / 30, 1.0), (28 / 30, 2.0), (1.0, 3.0))
LEAST_ORDERS, LEAST_SHARE = 8, 0.10
SHAPE_DOUBT = 0.65  # how far the rest of a real campaign may be from the U, as a share of the rest (one deviation)
TWO_TAILS = 1.2816  # of a normal distribution, for four cases in five


@dataclass(frozen=True, slots=True)
class Band:
    """Between which totals a campaign ends four times in five, minor units; `low_minor` <= `high_minor`."""

    low_minor: int
    high_minor: int


def share_by(elapsed: float) -> float:
    """
    The share of all orders that come in the first `elapsed` (0 to 1) of the time, by the U above.

    >>> round(share_by(4 / 30), 3), share_by(1.0)
    (0.267, 1.0)
    """
    whole = came = begun = 0.0
    for end, weight in _SHAPE:
        whole += (end - begun) * weight
        came += max(0.0, min(elapsed, end) - begun) * weight
        begun = end
    return came / whole


def forecast(*, orders: int, total_minor: int, elapsed: float) -> Band | None:
    """
    The band of the closing total from `orders` that came to `total_minor` in the first `elapsed` of the time.

    The rest is counted in orders: its expectation by the U, its doubt from chance (Poisson, of what came and of what
    comes) and from campaigns that are not shaped like it. None while it is too early to say anything: fewer than eight
    orders, or less than a tenth of the time.
    """
    if orders < LEAST_ORDERS or elapsed < LEAST_SHARE:
        return None
    if elapsed >= 1.0:
        return Band(total_minor, total_minor)
    share = share_by(elapsed)
    rest = orders * (1 - share) / share
    doubt = TWO_TAILS * sqrt(rest + rest * rest / orders + (SHAPE_DOUBT * rest) ** 2)
    each = total_minor / orders
    return Band(
        low_minor=total_minor + round(max(0.0, rest - doubt) * each),
        high_minor=total_minor + round((rest + doubt) * each),
    )
