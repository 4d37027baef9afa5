"""Sponsors and grants with what came of them."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Q, Sum

from campaign.models import Account, Funder, GiftInKind, Show
from campaign.queries.money import read_balances


@dataclass(frozen=True, slots=True)
class FunderLine:
    """A sponsor or grant, what its money in the cash book comes to, and how its next day stands."""

    funder: Funder
    received_minor: int
    is_past: bool


@dataclass(frozen=True, slots=True)
class FundersPage:
    """All of a show, the ones with a next day first, and their sums in minor units."""

    lines: tuple[FunderLine, ...]
    asked_minor: int
    promised_minor: int
    received_minor: int
    elsewhere_minor: int  # booked as a sponsor's or a grant's money, but of nobody who is written down
    gifts: tuple[GiftInKind, ...]

    @property
    def gifts_minor(self) -> int:
        """What the gifts in kind are worth, as far as it was said. No money: it is in no other sum."""
        return sum(gift.value_minor or 0 for gift in self.gifts)

    @property
    def gifts_without_value(self) -> int:
        """Gifts of which nobody said what they are worth."""
        return sum(gift.value_minor is None for gift in self.gifts)


def read_funders(show: Show, *, today: date) -> FundersPage:
    """Sponsors, grants and gifts in kind of `show`, from three queries. A corrected entry counts for nothing."""
    came = Sum("cash_entries__amount_minor", filter=Q(cash_entries__corrected_by=None), default=0)
    rows = Funder.objects.filter(show=show).annotate(came=came).select_related("deadline")
    lines = [
        FunderLine(row, row.came, bool(row.deadline and not row.deadline.is_done and row.deadline.on < today))
        for row in rows
    ]
    lines.sort(key=lambda line: (_day(line), line.funder.name.casefold(), line.funder.pk))
    balances = read_balances(show)
    received_minor = sum(line.received_minor for line in lines)
    return FundersPage(
        lines=tuple(lines),
        asked_minor=sum(line.funder.asked_minor or 0 for line in lines),
        promised_minor=sum(line.funder.promised_minor or 0 for line in lines),
        received_minor=received_minor,
        elsewhere_minor=-balances[Account.SPONSORS] - balances[Account.GRANTS] - received_minor,
        gifts=tuple(show.gifts_in_kind.select_related("item", "work")),
    )


def _day(line: FunderLine) -> date:
    deadline = line.funder.deadline
    return deadline.on if deadline and not deadline.is_done else date.max


def list_thanks(show: Show) -> list[tuple[str, str]]:
    """Whom the page thanks for money, and in which words; those who declined are not named."""
    thanked = Funder.objects.filter(show=show).exclude(thanks="").exclude(state=Funder.State.DECLINED)
    return list(thanked.order_by("pk").values_list("name", "thanks"))
