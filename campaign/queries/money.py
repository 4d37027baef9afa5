"""Money as the cash book and the pledges have it: in hand, if every open pledge is paid, and what is owed back."""

from collections import Counter
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from campaign.measures.money import portion_bp
from campaign.models import Account, CashEntry, Copy, Pledge, Show
from campaign.planning import Income, WallMoney, wall_money
from campaign.queries.prepared import Prepared

HELD, PAID = Pledge.State.HELD, Pledge.State.PAID
LOOSE = (Copy.State.FREE, Copy.State.OFFERED)  # nobody has ordered it, whether it is offered to somebody or not


@dataclass(frozen=True, slots=True)
class PledgeMoney:
    """One pledge's sums in minor units; received is net of what was given back, which stands beside it."""

    state: str
    copies: int
    total_minor: int
    received_minor: int
    given_back_minor: int
    set_aside_minor: int
    make_cost_minor: int
    pack_cost_minor: int
    postage_cost_minor: int


@dataclass(frozen=True, slots=True)
class MoneyPicture:
    """Wall money in hand and if every open pledge is paid, and the money that is not the artist's to spend."""

    in_hand: WallMoney
    if_paid: WallMoney
    received_minor: int
    owed_back_minor: int
    open_minor: int
    open_pledges: int
    paid_pledges: int
    copies_spoken_for: int
    copies_held: int


def read_money(show: Show) -> MoneyPicture:
    """
    The sums of `show` from two queries, one over pledges and one over the cash book.

    Only money of complete orders counts as in hand: a part payment could still have to go back. A print that was made
    for an order that has ended costs what making it did, until somebody orders it again.
    """
    rows = _read_pledges(show)
    # The cash book after the orders: a payment that comes in between finds its order open, and does not count yet.
    book = _read_cash_book(show)
    pledges = [_pledge_money(row, book=book) for row in rows]
    loose_minor = rows[0][-1] if rows else 0
    paid = [p for p in pledges if p.state == PAID]
    held = [p for p in pledges if p.state == HELD]
    received = sum(p.received_minor for p in pledges)
    kept = sum(min(p.received_minor, p.total_minor) for p in paid)
    part = sum(p.received_minor for p in held)
    base = _income(paid, received_minor=kept, loose_minor=loose_minor, balances=book.balances)
    with_open = _income(
        [*paid, *held], received_minor=kept + sum(p.total_minor for p in held), loose_minor=loose_minor,
        balances=book.balances,
    )  # fmt: skip
    return MoneyPicture(
        in_hand=_with_contingency(base, show=show),
        if_paid=_with_contingency(with_open, show=show),
        received_minor=received,
        owed_back_minor=received - kept - part,
        open_minor=sum(p.total_minor - p.received_minor for p in held),
        open_pledges=len(held),
        paid_pledges=len(paid),
        copies_spoken_for=sum(p.copies for p in paid),
        copies_held=sum(p.copies for p in held),
    )


def read_balances(show: Show) -> Counter[str]:
    """Debits less credits of each account of the cash book, minor units; the balances of all accounts sum to zero."""
    balances: Counter[str] = Counter()
    rows = CashEntry.objects.filter(show=show).values_list("debit", "credit").annotate(Sum("amount_minor")).order_by()
    for debit, credit, amount in rows:
        balances[debit] += amount
        balances[credit] -= amount
    return balances


def received_for(pledge: Pledge) -> int:
    """What a pledge's backer has paid less what went back to them, minor units."""
    return _net_of(CashEntry.objects.filter(pledge=pledge).values_list("debit", "credit", "amount_minor"))


def _net_of(rows: object) -> int:
    net = 0
    for debit, credit, amount in rows:  # type: ignore[attr-defined]  # a values_list of the three columns
        net += amount * ((credit in BACKER_ACCOUNTS) - (debit in BACKER_ACCOUNTS))
    return net


# Money of backers comes from ORDERS and goes back through REFUNDS; corrections run the other way round.
BACKER_ACCOUNTS = (Account.ORDERS, Account.REFUNDS)


@dataclass(frozen=True, slots=True)
class _CashBook:
    """Balances by account; by pledge what came less what went back, and what was given back for good."""

    balances: Counter[str]
    received: Counter[int]
    given_back: Counter[int]


def _read_pledges(show: Show) -> list[Any]:
    """Every pledge's columns as `_pledge_money` takes them apart, last what making loose prints cost; one query."""
    # Prints were only made for orders, so where there is no pledge there is none of them either.
    return _PLEDGES(show.pk)


def _pledge_money(row: Any, *, book: _CashBook) -> PledgeMoney:
    pk, state, copies, prints, postage, gift, added, *costs, _ = row
    return PledgeMoney(state, copies, prints + postage + gift + added, book.received[pk], book.given_back[pk], *costs)


def _read_cash_book(show: Show) -> _CashBook:
    """One query; the orders' shares are added up here, because joining them took several times as long."""
    book = _CashBook(Counter(), Counter(), Counter())
    for pledge, debit, credit, corrects, corrected_by, amount in _CASH_BOOK(show.pk):
        book.balances[debit] += amount
        book.balances[credit] -= amount
        if pledge is not None:
            book.received[pledge] += amount * ((credit in BACKER_ACCOUNTS) - (debit in BACKER_ACCOUNTS))
            if debit == Account.REFUNDS and corrects is None and corrected_by is None:
                book.given_back[pledge] += amount
    return book


def _ask_pledges(show: int) -> QuerySet[Any, Any]:
    loose = Copy.objects.filter(edition__show=show, is_printed=True, state__in=LOOSE).order_by()
    made = loose.values("edition__show").annotate(total=Sum("edition__make_cost_minor")).values("total")
    return (
        Pledge.objects.filter(show=show)
        .annotate(loose=Coalesce(Subquery(made), 0))
        .order_by()
        .values_list(
            "pk", "state", "copies", "prints_minor", "postage_minor", "gift_minor", "tax_added_minor",
            "set_aside_minor", "make_cost_minor", "pack_cost_minor", "postage_cost_minor", "loose",
        )
    )  # fmt: skip


def _ask_cash_book(show: int) -> QuerySet[Any, Any]:
    rows = CashEntry.objects.filter(show=show).order_by()
    columns = rows.values_list("pledge", "debit", "credit", "corrects", "corrected_by")
    return columns.annotate(Sum("amount_minor"))


_PLEDGES, _CASH_BOOK = Prepared(_ask_pledges), Prepared(_ask_cash_book)


def _income(pledges: list[PledgeMoney], *, received_minor: int, loose_minor: int, balances: Counter[str]) -> Income:
    refunded_minor = sum(p.given_back_minor for p in pledges if p.state == PAID)
    return Income(
        received_minor=received_minor + refunded_minor,
        refunded_minor=refunded_minor,
        loose_print_minor=loose_minor,
        fee_minor=balances[Account.FEES],
        tax_minor=sum(p.set_aside_minor for p in pledges),
        make_minor=sum(p.make_cost_minor for p in pledges),
        pack_minor=sum(p.pack_cost_minor for p in pledges),
        post_minor=sum(p.postage_cost_minor for p in pledges),
        campaign_cost_minor=balances[Account.COSTS],
        sponsor_minor=-balances[Account.SPONSORS],
        grant_minor=-balances[Account.GRANTS],
        own_minor=-balances[Account.OWN],
    )


def _with_contingency(income: Income, *, show: Show) -> WallMoney:
    total_minor = wall_money(income).total_minor
    return wall_money(replace(income, contingency_minor=portion_bp(max(0, total_minor), bp=show.contingency_bp)))
