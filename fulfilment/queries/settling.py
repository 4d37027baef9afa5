"""Where the money of a show stands at its end: what came, went and lies where, and to whom some goes back."""

from dataclasses import dataclass

from django.db.models import F, Q, Sum

from campaign.models import CashEntry, Pledge, Show
from campaign.queries.cash_book import Balances, read_cash_balances
from campaign.queries.money import BACKER_ACCOUNTS, MoneyPicture, read_money


@dataclass(frozen=True, slots=True)
class OwedBack:
    """A backer to whom money goes back, and how much; minor units."""

    pledge: Pledge
    amount_minor: int


@dataclass(frozen=True, slots=True)
class SettlePicture:
    """The Settle room: balances of the cash book, wall money, debts to backers, number of lines."""

    balances: Balances
    money: MoneyPicture
    owed: tuple[OwedBack, ...]
    entries: int
    fixed_cost_minor: int | None

    @property
    def owed_minor(self) -> int:
        """All that goes back to backers."""
        return sum(one.amount_minor for one in self.owed)


def read_settle(show: Show) -> SettlePicture:
    """The picture of `show` from six queries."""
    fixed = Show.objects.filter(pk=show.pk).values_list("fixed_plan__cost_minor", flat=True).get()
    return SettlePicture(
        balances=read_cash_balances(show),
        money=read_money(show),
        owed=list_owed_back(show),
        entries=CashEntry.objects.filter(show=show).count(),
        fixed_cost_minor=fixed,
    )


def list_owed_back(show: Show) -> tuple[OwedBack, ...]:
    """Orders that ended although money had come, and paid orders for which too much came."""
    came = Sum("cash_entries__amount_minor", filter=Q(cash_entries__credit__in=BACKER_ACCOUNTS), default=0)
    went = Sum("cash_entries__amount_minor", filter=Q(cash_entries__debit__in=BACKER_ACCOUNTS), default=0)
    pledges = Pledge.objects.filter(show=show).exclude(state=Pledge.State.HELD).annotate(net_minor=came - went)
    owed = []
    for pledge in pledges.filter(net_minor__gt=0).order_by(F("ended_at").asc(nulls_last=True), "pk"):
        net_minor: int = pledge.net_minor
        kept_minor = pledge.total_minor if pledge.state == Pledge.State.PAID else 0
        if net_minor > kept_minor:
            owed.append(OwedBack(pledge, net_minor - kept_minor))
    return tuple(owed)
