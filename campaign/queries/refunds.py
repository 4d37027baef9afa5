"""Sums that go back, as the studio and their backers see them. What has gone is in the cash book."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Sum

from campaign.models import Pledge, Refund, Show
from campaign.queries.pledges import PledgeLine, line_of, with_received

State = Refund.State
OPEN = (State.OWED, State.SENDING, State.FAILED)


@dataclass(frozen=True, slots=True)
class WaySum:
    """What goes back by one way."""

    way: str
    count: int
    amount_minor: int


@dataclass(frozen=True, slots=True)
class Loose:
    """Money that should go back and for which no sum is written down yet."""

    line: PledgeLine
    amount_minor: int


@dataclass(frozen=True, slots=True)
class RefundsPage:
    """All of it: to do by hand, with the processor, failed, done, called off, and what nobody has decided."""

    by_hand: tuple[Refund, ...]
    by_card: tuple[Refund, ...]
    failed: tuple[Refund, ...]
    done: tuple[Refund, ...]
    called_off: tuple[Refund, ...]
    loose: tuple[Loose, ...]
    sums: tuple[WaySum, ...]

    @property
    def open_minor(self) -> int:
        """All that has still to go."""
        return sum(one.amount_minor for one in self.sums)


def read_refunds(show: Show) -> RefundsPage:
    """The page of `show` from three queries."""
    rows = list(Refund.objects.filter(pledge__show=show).select_related("pledge__show", "entry").order_by("pk"))
    waiting = [row for row in rows if row.state in (State.OWED, State.SENDING)]
    return RefundsPage(
        by_hand=tuple(row for row in waiting if row.way != "card"),
        by_card=tuple(row for row in waiting if row.way == "card"),
        failed=tuple(row for row in rows if row.state == State.FAILED),
        done=tuple(row for row in reversed(rows) if row.state == State.DONE),
        called_off=tuple(row for row in reversed(rows) if row.state == State.CALLED_OFF),
        loose=list_loose(show),
        sums=_sums(row for row in rows if row.state in OPEN),
    )


def _sums(rows: Iterable[Refund]) -> tuple[WaySum, ...]:
    counts: Counter[str] = Counter()
    totals: Counter[str] = Counter()
    for row in rows:
        counts[row.get_way_display()] += 1
        totals[row.get_way_display()] += row.amount_minor
    return tuple(WaySum(way, counts[way], totals[way]) for way in sorted(totals))


def list_loose(show: Show) -> tuple[Loose, ...]:
    """Surplus of live orders and money of ended ones that no sum to give back covers. Two queries."""
    promised: Counter[int] = Counter()
    rows = Refund.objects.filter(pledge__show=show, state__in=OPEN).values_list("pledge").annotate(Sum("amount_minor"))
    for pledge_id, amount_minor in rows.order_by():
        promised[pledge_id] += amount_minor
    found = []
    for pledge in with_received(Pledge.objects.filter(show=show)).order_by("pk"):
        line = line_of(pledge)
        left_minor = line.owed_back_minor - promised[pledge.pk]
        if left_minor > 0:
            found.append(Loose(line, left_minor))
    return tuple(found)


def list_refunds_of(pledge: Pledge) -> tuple[Refund, ...]:
    """The sums of one order that go back or have gone, the oldest first; none that was called off."""
    return tuple(Refund.objects.filter(pledge=pledge).exclude(state=State.CALLED_OFF))


@dataclass(frozen=True, slots=True)
class CallOffPicture:
    """What calling a show off would set going: orders that end, money that goes back, what came how; minor units."""

    paid: int
    held: int
    received_minor: int
    by_account: tuple[tuple[str, int], ...]
    printed: int
    posted: int


def read_call_off(show: Show) -> CallOffPicture:
    """The sums before the decision. Four queries."""
    states = Counter(show.pledges.values_list("state", flat=True))
    held_in = {"bank": "by bank transfer", "cheques": "by cheque", "cash": "in cash", "processor": "by card"}
    came: Counter[str] = Counter()
    entries = show.cash_entries.filter(credit="orders", corrects=None, corrected_by=None)
    for account, amount in entries.values_list("debit").annotate(Sum("amount_minor")).order_by():
        came[held_in[account]] += amount
    total = sum(line.received_minor for line in map(line_of, with_received(Pledge.objects.filter(show=show))))
    copies = show.editions.values_list("copies__is_printed", "copies__is_posted")
    return CallOffPicture(
        paid=states["paid"],
        held=states["held"],
        received_minor=total,
        by_account=tuple(sorted(came.items())),
        printed=sum(bool(printed) for printed, _ in copies),
        posted=sum(bool(posted) for _, posted in copies),
    )
