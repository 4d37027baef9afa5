"""The two expected failures outside the pure packages: a rule says no, or the outside world is not there."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta


class Refusal(Exception):
    """A rule says no. Subclasses carry the figures; `sentence` says it to a person and names what would do."""

    @property
    def sentence(self) -> str:
        """One or two plain sentences."""
        return str(self) or "That is not possible."


@dataclass
class CampaignNotOpen(Refusal):
    """Orders are taken between two moments only."""

    opens_at: datetime
    closes_at: datetime
    now: datetime

    @property
    def sentence(self) -> str:
        if self.now < self.opens_at:
            return f"Orders are taken from {self.opens_at:%-d %B %Y, %H:%M %Z}. Nothing was recorded."
        return "The campaign is closed; no more orders are taken. Nothing was recorded."


@dataclass
class NotEnoughCopies(Refusal):
    """Fewer copies of an edition are free than were asked for."""

    left: int
    title: str

    @property
    def sentence(self) -> str:
        if self.left == 0:
            return (
                f"No copy of “{self.title}” is free now, and nothing was recorded. Copies that are not paid in time "
                "come back; who is on the waiting list is offered them first."
            )
        copies = "1 copy" if self.left == 1 else f"{self.left} copies"
        are = "is" if self.left == 1 else "are"
        return f"Only {copies} of “{self.title}” {are} free. Nothing was recorded; choose {self.left} or fewer."


@dataclass
class NotOnSale(Refusal):
    """An edition is sold between two moments of its own, or is not there any more."""

    title: str
    from_at: datetime | None = None
    until_at: datetime | None = None

    @property
    def sentence(self) -> str:
        when = "is not on offer any more"
        if self.from_at:
            when = f"can be ordered from {self.from_at:%-d %B %Y, %H:%M %Z}"
        elif self.until_at:
            when = f"could be ordered until {self.until_at:%-d %B %Y, %H:%M %Z}"
        return f"“{self.title}” {when}. Nothing was recorded."


@dataclass
class CopiesAreFree(Refusal):
    """Nobody waits for what can be ordered at once."""

    copies: int
    title: str

    @property
    def sentence(self) -> str:
        are = "1 copy of it is" if self.copies == 1 else f"{self.copies} copies of it are"
        return f"“{self.title}” can be ordered now, {are} free. There is no need to wait, so nothing was recorded."


@dataclass
class OfferEnded(Refusal):
    """What was kept for somebody who waited is theirs to order for a time only, and once."""

    is_taken: bool
    until_at: datetime | None

    @property
    def sentence(self) -> str:
        if self.is_taken:
            return "What was kept for you is ordered already. Nothing was ordered twice."
        if self.until_at:
            when = f"{self.until_at:%-d %B %Y, %H:%M %Z}"
            return f"This was kept for you until {when}, and has gone to the next in line. Nothing was recorded."
        return "Nothing is kept for you at the moment. Nothing was recorded."


@dataclass
class OverLimit(Refusal):
    """One person may have so many copies of an edition."""

    limit: int
    already: int
    title: str

    @property
    def sentence(self) -> str:
        had = f", and {self.already} are already ordered with this e-mail address" if self.already else ""
        return f"One person can have {self.limit} of “{self.title}” at most{had}. Nothing was recorded."


@dataclass
class NoPostage(Refusal):
    """The artist has no price for posting there."""

    country: str

    @property
    def sentence(self) -> str:
        return f"There is no postage price for {self.country} with that many copies. Write to the studio, please."


@dataclass
class DearerPostage(NoPostage):
    """The postage that was agreed does not reach there."""

    @property
    def sentence(self) -> str:
        return "Posting it there costs more than the postage you agreed to. Write to the studio, please."


@dataclass
class OtherTax(Refusal):
    """Another tax applies in the new country than the one that was agreed."""

    country: str

    @property
    def sentence(self) -> str:
        return "Another tax applies in that country than in the sum you agreed to. Write to the studio, please."


@dataclass
class SumChanged(Refusal):
    """The artist changed a price between the sum shown and the order."""

    agreed_minor: int
    total_minor: int

    @property
    def sentence(self) -> str:
        return "The price or postage was changed just now. Nothing was recorded; please look at the new sum."


@dataclass
class BookedOtherwise(Refusal):
    """The same form was sent once before with another amount."""

    booked_minor: int

    @property
    def sentence(self) -> str:
        return "This form was sent before with another amount, and that one is booked. Open a new form to book more."


@dataclass
class MoreThanReceived(Refusal):
    """More would go back than came and is not promised back already."""

    wanted_minor: int
    left_minor: int

    @property
    def sentence(self) -> str:
        return "That is more than came in and is not on its way back already. Nothing was changed; choose a lower sum."


@dataclass
class EditionIsLimited(Refusal):
    """An edition that is announced never grows: people order it because there are no more."""

    title: str
    announced: int
    wanted: int

    @property
    def sentence(self) -> str:
        return (
            f"“{self.title}” is announced as {self.announced} copies and stays limited to them, so {self.wanted} is "
            f"too many; {self.announced} or fewer would do. Nothing was changed."
        )


@dataclass
class WayNotOffered(Refusal):
    """The studio does not take money that way."""

    way: str

    @property
    def sentence(self) -> str:
        return "The studio does not take money this way. Choose another."


@dataclass
class TooLateToChange(Refusal):
    """A backer's own changes end at a date, or with the printing."""

    until: date | None

    @property
    def sentence(self) -> str:
        when = f" until {self.until:%-d %B %Y}" if self.until else ""
        return f"This could be done here{when}. Write to the studio and ask, please."


@dataclass
class NotInThisState(Refusal):
    """The row is in a state from which this step does not lead on."""

    what: str
    state: str

    @property
    def sentence(self) -> str:
        return f"{self.what} is {self.state}; this step cannot be taken from there."


@dataclass
class NotReady(Refusal):
    """Something must be done first."""

    missing: str

    @property
    def sentence(self) -> str:
        return self.missing


@dataclass
class LinkNeeded(Refusal):
    """A backer's own page opens by the link in their mail only; says the same for codes that do not exist."""

    @property
    def sentence(self) -> str:
        return "This page opens with the private link in your mail, for half an hour at a time."


class TemporaryFailure(Exception):
    """The outside world did not do its part; `permanent` says that asking again will not help."""

    def __init__(self, message: str, *, permanent: bool = False) -> None:
        super().__init__(message)
        self.permanent = permanent


def pause_after(attempts: int) -> timedelta:
    """How long to leave the outside world alone after so many tries: seconds, doubled each time, an hour at most."""
    return timedelta(seconds=min(3600, 5 * 2 ** min(attempts, 10)))


@dataclass
class PlanIsFixed(Refusal):
    """Closing the campaign fixed the plan, and what it was made from with it."""

    closed_at: datetime

    @property
    def sentence(self) -> str:
        return (
            f"The campaign closed on {self.closed_at:%-d %B %Y}. That fixed the plan: walls, works, finishes, "
            "prices and show costs stay as they are. Nothing was changed."
        )


@dataclass
class InUse(Refusal):
    """Something that other rows need cannot be taken away."""

    what: str
    used_by: tuple[str, ...]

    @property
    def sentence(self) -> str:
        users = ", ".join(f"“{name}”" for name in self.used_by[:4])
        more = f" and {len(self.used_by) - 4} more" if len(self.used_by) > 4 else ""
        return f"“{self.what}” stays, because {users}{more} still need it. Take it out there first."


@dataclass
class StepIsPast(Refusal):
    """Only the last step can be taken back, and only while nothing has come after it."""

    @property
    def sentence(self) -> str:
        return (
            "Something was changed since that step (on another page, or by reading in the show folder), so it cannot "
            "be taken back any more. Nothing was changed now."
        )
