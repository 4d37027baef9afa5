"""Mail that came back, as the studio shows it: at the order, and whom it concerns in a show."""

from dataclasses import dataclass
from datetime import datetime

from campaign.models import Bounce, Pledge, Show, Waiter
from campaign.queries.audience import WAITS, list_returned
from campaign.returned import explain


@dataclass(frozen=True, slots=True)
class Returned:
    """One report: whether it lasts, what it says in words, the mail server's own words, and when it was read."""

    is_lasting: bool
    reason: str
    words: str
    status: str
    read_at: datetime


def list_reports(email: str) -> tuple[Returned, ...]:
    """What came back from an address, the newest first; nothing for none."""
    if not email:
        return ()
    return tuple(read_report(one) for one in Bounce.objects.filter(email__iexact=email))


def read_report(bounce: Bounce) -> Returned:
    """One stored report in words."""
    return Returned(
        is_lasting=bounce.kind == Bounce.Kind.HARD,
        reason=explain(bounce.status),
        words=bounce.words,
        status=bounce.status,
        read_at=bounce.read_at,
    )


@dataclass(frozen=True, slots=True)
class Unreachable:
    """Somebody of a show to whom mail cannot be delivered: an order, or a place on a waiting list."""

    name: str
    email: str
    pledge_code: str


def list_unreachable(show: Show) -> tuple[Unreachable, ...]:
    """Orders that live and people who wait, whose address takes no mail. Three queries."""
    returned = list_returned()
    if not returned:
        return ()
    pledges = Pledge.objects.filter(show=show, state__in=Pledge.LIVE).values_list("name", "email", "code")
    waiters = Waiter.objects.filter(edition__show=show, state__in=WAITS).values_list("name", "email")
    found = [Unreachable(*row) for row in pledges] + [Unreachable(*row, pledge_code="") for row in waiters]
    return tuple(one for one in found if one.email.casefold() in returned)
