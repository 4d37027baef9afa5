"""The minimum of a show: how far it is, and what happens if it is missed, in the words everybody reads."""

from dataclasses import dataclass

from campaign.measures.money import format_minor
from campaign.models import Show
from campaign.queries.money import read_money


@dataclass(frozen=True, slots=True)
class MinimumStanding:
    """The minimum beside the wall money in hand, minor units."""

    minimum_minor: int
    in_hand_minor: int
    gives_back: bool

    @property
    def missing_minor(self) -> int:
        """What is missing; zero once it is reached."""
        return max(0, self.minimum_minor - self.in_hand_minor)

    @property
    def is_reached(self) -> bool:
        """The wall money in hand is the minimum or more."""
        return self.missing_minor == 0


def read_minimum(show: Show, *, in_hand_minor: int | None = None) -> MinimumStanding | None:
    """Where the minimum of `show` stands; None for a show without one. `in_hand_minor` saves the sum."""
    if show.minimum_minor is None:
        return None
    if in_hand_minor is None:
        in_hand_minor = read_money(show).in_hand.total_minor
    gives_back = show.below_minimum == Show.BelowMinimum.GIVE_BACK
    return MinimumStanding(show.minimum_minor, in_hand_minor, gives_back)


def is_minimum_fixed(show: Show) -> bool:
    """Somebody ordered on the word of the published page, so that word stays."""
    return show.state != Show.State.DRAFT and show.pledges.exists()


def minimum_words(show: Show) -> str:
    """What happens if less money comes than hoped, in one or two sentences; the same on every page and in mails."""
    if show.minimum_minor is None:
        return "There is no minimum: the show hangs what the wall money buys, and every print that is paid for is made."
    sum_words = format_minor(show.minimum_minor, currency=show.currency, locale=show.locale)
    until = show.closes_at.astimezone(show.zone)
    missed = f"If the show does not reach {sum_words} of wall money by {until:%-d %B %Y, %H:%M}"
    if show.below_minimum == Show.BelowMinimum.GIVE_BACK:
        return f"{missed}, it is called off and all money goes back; no print is made then."
    return (
        f"{missed}, the show is made smaller: it hangs what the money buys, and every print that is paid for is made."
    )


def missed_words(show: Show) -> str:
    """Why a show ends that missed its minimum, as the letters to its backers say it."""
    assert show.minimum_minor is not None, "asked for shows with a minimum only"
    sum_words = format_minor(show.minimum_minor, currency=show.currency, locale=show.locale)
    return f"The show did not reach the {sum_words} of wall money without which it is not made."
