"""The cash book as a page: every line, and what each account holds."""

from dataclasses import dataclass

from django.db.models import QuerySet

from campaign.models import Account, CashEntry, Show
from campaign.queries.money import read_balances

# Accounts where money lies; the others say where it came from and went.
HELD_IN = (Account.BANK, Account.CHEQUES, Account.CASH, Account.PROCESSOR)
SOURCES = (Account.ORDERS, Account.SPONSORS, Account.GRANTS, Account.OWN)


@dataclass(frozen=True, slots=True)
class Balance:
    """What stands on an account, seen from the artist: sources and holdings count up, fees and costs as spent."""

    name: str
    amount_minor: int


@dataclass(frozen=True, slots=True)
class Balances:
    """Where the money came from, where it went and where it is; came - went = held, to the cent."""

    came: tuple[Balance, ...]
    went: tuple[Balance, ...]
    held: tuple[Balance, ...]

    @property
    def came_minor(self) -> int:
        """All that came."""
        return sum(balance.amount_minor for balance in self.came)

    @property
    def went_minor(self) -> int:
        """All that went."""
        return sum(balance.amount_minor for balance in self.went)

    @property
    def held_minor(self) -> int:
        """All that is there."""
        return sum(balance.amount_minor for balance in self.held)


def list_entries(show: Show) -> QuerySet[CashEntry]:
    """Lines of the cash book, the newest first, each with its pledge and what corrects it."""
    return CashEntry.objects.filter(show=show).select_related("pledge", "corrects", "corrected_by").order_by("-pk")


def read_cash_balances(show: Show) -> Balances:
    """The balances of the cash book of `show`. One query."""
    balances = read_balances(show)

    def of(account: Account, *, sign: int) -> Balance:
        return Balance(name=str(account.label), amount_minor=sign * balances[account])

    return Balances(
        came=tuple(of(account, sign=-1) for account in SOURCES if balances[account]),
        went=tuple(
            of(account, sign=1) for account in Account if account not in (*HELD_IN, *SOURCES) and balances[account]
        ),
        held=tuple(of(account, sign=1) for account in HELD_IN if balances[account]),
    )
