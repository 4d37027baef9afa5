"""What another commission does to the prices on the wall; the staircase itself never moves with it."""

from dataclasses import dataclass, replace

from campaign.models import Show
from campaign.queries.wall_prices import read_wall_prices, stored_terms


@dataclass(frozen=True, slots=True)
class Asking:
    """
    All asking prices together, now and with another gallery's share, for the same sums left to the artist.

    `works` counts those that hang and have a wanted sum; the sums are of them alone.
    """

    works: int
    commission_bp: int
    commission_then_bp: int
    price_minor: int
    price_then_minor: int
    gallery_then_minor: int
    artist_then_minor: int


def read_asking(show: Show, *, commission_bp: int | None) -> Asking | None:
    """The prices with `commission_bp`; None where no other commission is asked for."""
    if commission_bp is None:
        return None
    terms = stored_terms(show)
    now = read_wall_prices(show, trial=terms)
    then = read_wall_prices(show, trial=replace(terms, commission_bp=commission_bp))
    return Asking(
        works=len(now.works),
        commission_bp=terms.commission_bp,
        commission_then_bp=commission_bp,
        price_minor=now.total.price_minor,
        price_then_minor=then.total.price_minor,
        gallery_then_minor=then.total.gallery_minor,
        artist_then_minor=then.total.artist_minor,
    )
