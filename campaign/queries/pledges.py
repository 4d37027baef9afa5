"""Pledges as the studio lists them: with what was received, what is missing and what is owed back."""

from dataclasses import dataclass

from django.db.models import F, Q, QuerySet, Sum

from campaign.models import CashEntry, Pledge, Show
from campaign.queries.money import BACKER_ACCOUNTS
from campaign.queries.order_lines import OrderLines, read_order_lines
from campaign.queries.returned import Returned, list_reports


@dataclass(frozen=True, slots=True)
class PledgeLine:
    """A pledge with its money, minor units; received is net of what went back."""

    pledge: Pledge
    received_minor: int

    @property
    def missing_minor(self) -> int:
        """What an order that is still alive lacks."""
        return max(0, self.pledge.total_minor - self.received_minor) if self.pledge.is_live else 0

    @property
    def owed_back_minor(self) -> int:
        """What the backer should get back: the surplus of a paid order, all of an ended one."""
        kept = self.pledge.total_minor if self.pledge.is_live else 0
        return max(0, self.received_minor - kept)


@dataclass(frozen=True, slots=True)
class PledgePage:
    """One pledge with everything that belongs to it."""

    line: PledgeLine
    order: OrderLines
    entries: tuple[CashEntry, ...]
    wants_no_news: bool
    returned: tuple[Returned, ...]
    can_correct_address: bool  # something of it has still to be posted

    @property
    def is_unreachable(self) -> bool:
        """Mail to the backer's address cannot be delivered."""
        return any(one.is_lasting for one in self.returned)


def list_pledges(show: Show, *, state: str = "", words: str = "") -> QuerySet[Pledge]:
    """
    Pledges of `show`, newest first, each with `received_minor`.

    `words` looks into name, e-mail, order code and payment reference; spaces in a reference do not matter.
    """
    found = with_received(Pledge.objects.filter(show=show)).order_by("-placed_at", "-pk")
    if state:
        found = found.filter(state=state)
    plain = words.strip()
    if plain:
        joined = "".join(plain.split())
        found = found.filter(
            Q(name__icontains=plain)
            | Q(email__icontains=plain)
            | Q(code__iexact=joined)
            | Q(reference__icontains=joined)
        )
    return found


def line_of(pledge: Pledge) -> PledgeLine:
    """The line of a pledge that came from `list_pledges`."""
    return PledgeLine(pledge=pledge, received_minor=pledge.received_minor)  # type: ignore[attr-defined]  # annotated


def read_pledge(pledge: Pledge) -> PledgePage:
    """Everything the studio's page about one pledge says. Seven queries."""
    found = with_received(Pledge.objects.filter(pk=pledge.pk)).get()
    return PledgePage(
        line=line_of(found),
        order=read_order_lines(pledge),
        entries=tuple(CashEntry.objects.filter(pledge=pledge).select_related("corrected_by")),
        wants_no_news=pledge.show.suppressions.filter(email__iexact=pledge.email).exists(),
        returned=list_reports(found.email),
        can_correct_address=pledge.is_live and pledge.held_copies.filter(is_posted=False).exists(),
    )


def with_received(pledges: QuerySet[Pledge]) -> QuerySet[Pledge]:
    """Each pledge with `received_minor`, what came less what went back."""
    came = Sum("cash_entries__amount_minor", filter=Q(cash_entries__credit__in=BACKER_ACCOUNTS), default=0)
    went = Sum("cash_entries__amount_minor", filter=Q(cash_entries__debit__in=BACKER_ACCOUNTS), default=0)
    return pledges.annotate(came=came, went=went).annotate(received_minor=F("came") - F("went"))
