"""Who gets an update: one reader an address, and how many of its segment are left out and why."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from campaign.addresses import country_name
from campaign.models import Bounce, Pledge, PledgeLine, Show, Update, Waiter

Segment = Update.Segment
WAITS = (Waiter.State.WAITING, Waiter.State.OFFERED)


@dataclass(frozen=True, slots=True)
class Reader:
    """One address and why it is written to: an order of it, or its place on a waiting list."""

    email: str
    pledge: Pledge | None = None
    waiter: Waiter | None = None


@dataclass(frozen=True, slots=True)
class Audience:
    """Who of a segment is written to; the others as numbers of addresses, each counted once."""

    readers: tuple[Reader, ...]
    never_asked: int  # ordered without asking for updates
    stopped: int  # asked, and took it back
    returned: int  # mail to them comes back for good

    @property
    def left_out(self) -> int:
        """Addresses of the segment that are not written to."""
        return self.never_asked + self.stopped + self.returned


def read_audience(show: Show, *, segment: str, country: str = "") -> Audience:
    """
    The audience of a segment as it is now.

    An update is news, whoever it is for: of orders only those count that asked for updates. Joining a waiting list is
    asking for news of that list, and for nothing else: waiters are in their own segment only.
    """
    if segment == Segment.WAITING:
        return _split(show, _waiting(show))
    return _split(show, _ordered(show, segment=segment, country=country))


def audience_of(update: Update) -> Audience:
    """The audience of an update's segment as it is now."""
    return read_audience(update.show, segment=update.segment, country=update.country)


def _ordered(show: Show, *, segment: str, country: str) -> Iterator[tuple[Reader, bool]]:
    """Live orders of the segment, the oldest first, each with whether it asked for updates."""
    states = [Pledge.State.HELD] if segment == Segment.UNPAID else Pledge.LIVE
    orders = show.pledges.filter(state__in=states).exclude(email="").select_related("show")
    if segment == Segment.COUNTRY:
        orders = orders.filter(pk__in=_going_to(show, country=country))
    for pledge in orders:
        yield Reader(email=pledge.email, pledge=pledge), pledge.wants_updates


def _waiting(show: Show) -> Iterator[tuple[Reader, bool]]:
    waiters = Waiter.objects.filter(edition__show=show, state__in=WAITS).exclude(email="")
    for waiter in waiters.select_related("edition__show").order_by("asked_at", "pk"):
        yield Reader(email=waiter.email, waiter=waiter), True


def _split(show: Show, found: Iterable[tuple[Reader, bool]]) -> Audience:
    everybody: set[str] = set()
    asked: dict[str, Reader] = {}
    for reader, has_asked in found:
        name = reader.email.casefold()
        everybody.add(name)
        if has_asked:
            asked.setdefault(name, reader)
    stopped = asked.keys() & _folded(show.suppressions.values_list("email", flat=True))
    returned = (asked.keys() - stopped) & list_returned()
    readers = tuple(reader for name, reader in asked.items() if name not in stopped and name not in returned)
    return Audience(readers, never_asked=len(everybody - asked.keys()), stopped=len(stopped), returned=len(returned))


def list_returned() -> set[str]:
    """Addresses to which mail cannot be delivered, of whatever show, case folded."""
    return _folded(Bounce.objects.filter(kind=Bounce.Kind.HARD).values_list("email", flat=True))


def _folded(emails: Iterable[str]) -> set[str]:
    return {email.casefold() for email in emails}


def _going_to(show: Show, *, country: str) -> set[int]:
    """Live orders of which something is posted to `country`, to the backer or to a friend."""
    return {pledge for pledge, code in _destinations(show) if code == country}


def _destinations(show: Show) -> Iterator[tuple[int, str]]:
    lines = PledgeLine.objects.filter(pledge__show=show, pledge__state__in=Pledge.LIVE).order_by()
    for pledge, own, home in lines.values_list("pledge", "address", "pledge__address").iterator():
        yield pledge, (own or home).get("country_code", "")


def list_destinations(show: Show) -> tuple[tuple[str, str], ...]:
    """Countries to which something of a live order is posted, as code and name, by name."""
    codes = {code for _, code in _destinations(show)} - {""}
    return tuple(sorted(((code, country_name(code)) for code in codes), key=lambda pair: pair[1]))
