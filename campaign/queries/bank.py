"""The bank's lines as the studio sees them: what was read, and what each may be."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Q, QuerySet

from campaign.models import Account, BankLine, BankStatement, BankUpload, CashEntry, Pledge, Refund, Show
from campaign.queries.pledges import list_pledges, with_received
from campaign.statements import Booked, Movement, Order, OwedSum, Proposal, Verdict, propose

State = BankLine.State
MOST_FOUND = 20


@dataclass(frozen=True, slots=True)
class OpenLine:
    """A line that waits, what it may be, and the row that the proposal points at."""

    line: BankLine
    proposal: Proposal
    pledge: Pledge | None = None
    refund: Refund | None = None
    entry: CashEntry | None = None

    @property
    def sent_minor(self) -> int:
        """What the other side paid or got, charges not taken off."""
        return as_movement(self.line).sent_minor


def list_statements(show: Show) -> QuerySet[BankStatement]:
    """Statements, the newest first, each with how many of its lines are `left` to be looked at and `booked`."""
    counted = BankStatement.objects.filter(show=show).annotate(
        count=Count("lines"),
        left=Count("lines", filter=Q(lines__state=State.OPEN)),
        booked=Count("lines", filter=Q(lines__state=State.BOOKED)),
    )
    return counted.order_by("-pk")


def list_settled(show: Show, *, statement: BankStatement | None = None) -> QuerySet[BankLine]:
    """Lines that were booked or passed, the newest first."""
    found = BankLine.objects.filter(statement__show=show).exclude(state=State.OPEN)
    found = found.filter(statement=statement) if statement else found
    return found.select_related("pledge", "entry").order_by("-booked_on", "-pk")


def list_open(show: Show) -> list[OpenLine]:
    """Every line that waits, in the order of the days, with its proposal. Six queries."""
    lines = list(BankLine.objects.filter(statement__show=show, state=State.OPEN).order_by("booked_on", "pk"))
    return _with_proposals(show, lines=lines)


def read_open(line: BankLine) -> OpenLine:
    """One waiting line with its proposal, as if it were alone."""
    return _with_proposals(line.statement.show, lines=[line])[0]


def list_certain(show: Show) -> list[OpenLine]:
    """The lines whose reference and sum agree with an order."""
    return [one for one in list_open(show) if one.proposal.is_certain and one.pledge]


def count_open(show: Show) -> int:
    """How many lines wait."""
    return BankLine.objects.filter(statement__show=show, state=State.OPEN).count()


def find_upload(show: Show) -> BankUpload | None:
    """The CSV file that waits for its columns."""
    return BankUpload.objects.filter(show=show).first()


def find_orders(show: Show, *, words: str, sum_minor: int | None) -> list[Pledge]:
    """Orders that a line could be for: by name, mail, code or reference, or by what is missing; at most twenty."""
    if words:
        return list(list_pledges(show, words=words)[:MOST_FOUND])
    if sum_minor is None:
        return []
    found = with_received(Pledge.objects.filter(show=show)).order_by("-placed_at", "-pk")
    return [one for one in found if _missing_minor(one) == sum_minor][:MOST_FOUND]


def list_owed_transfers(show: Show) -> list[Refund]:
    """Sums that are to go back by bank transfer."""
    owed = Refund.objects.filter(pledge__show=show, way=Pledge.Way.TRANSFER, state__in=("owed", "failed"))
    return list(owed.select_related("pledge").order_by("pk"))


def list_untied(show: Show) -> list[CashEntry]:
    """Movements of the bank account in the cash book that no line of the bank belongs to, and that still stand."""
    entries = CashEntry.objects.filter(show=show, corrects=None, corrected_by=None, bank_line=None)
    on_account = Q(debit=Account.BANK) | Q(credit=Account.BANK)
    return list(entries.filter(on_account).exclude(key__startswith="fee:").select_related("pledge").order_by("pk"))


def list_untied_like(line: BankLine) -> list[CashEntry]:
    """The movements of `list_untied` that move as much as `line` says, with the bank's charge or without it."""
    return [entry for entry in list_untied(line.statement.show) if moves_alike(entry, line=line)]


def moves_alike(entry: CashEntry, *, line: BankLine) -> bool:
    """True for a movement of the bank account by the sum of `line`, its charge taken off or not."""
    if Account.BANK not in (entry.debit, entry.credit):
        return False
    signed_minor = entry.amount_minor if entry.debit == Account.BANK else -entry.amount_minor
    return signed_minor in (line.amount_minor, line.amount_minor + line.fee_minor)


def as_movement(line: BankLine) -> Movement:
    """The row as the pure part reads it."""
    return Movement(
        booked_on=line.booked_on, value_on=line.value_on, amount_minor=line.amount_minor, currency=line.currency,
        fee_minor=line.fee_minor, party_name=line.party_name, party_iban=line.party_iban, reference=line.reference,
        text=line.text, is_reversal=line.is_reversal,
    )  # fmt: skip


def _missing_minor(pledge: Any) -> int:
    missing_minor: int = pledge.total_minor - pledge.received_minor
    return max(0, missing_minor)


def _with_proposals(show: Show, *, lines: Sequence[BankLine]) -> list[OpenLine]:
    pledges = {one.code: one for one in with_received(Pledge.objects.filter(show=show)).order_by("pk")}
    owed = {str(one.pk): one for one in list_owed_transfers(show)}
    untied = {str(one.pk): one for one in list_untied(show)}
    proposals = propose(
        [as_movement(line) for line in lines],
        orders=[_order(pledge) for pledge in pledges.values()],
        owed=[_owed_sum(refund) for refund in owed.values()],
        booked=[_booked(entry) for entry in untied.values()],
        currency=show.currency,
    )
    return [
        OpenLine(
            line=line, proposal=proposal, pledge=pledges.get(proposal.order_code),
            refund=owed.get(proposal.key) if proposal.verdict is Verdict.REFUND else None,
            entry=untied.get(proposal.key) if proposal.verdict is Verdict.BOOKED else None,
        )
        for line, proposal in zip(lines, proposals, strict=True)
    ]  # fmt: skip


def _order(pledge: Any) -> Order:
    return Order(
        code=pledge.code, reference=pledge.reference, name=pledge.name, total_minor=pledge.total_minor,
        received_minor=pledge.received_minor, state=pledge.state,
    )  # fmt: skip


def _owed_sum(refund: Refund) -> OwedSum:
    return OwedSum(
        key=str(refund.pk), order_code=refund.pledge.code, amount_minor=refund.amount_minor, iban=refund.iban,
        name=refund.account_holder or refund.pledge.name,
    )  # fmt: skip


def _booked(entry: CashEntry) -> Booked:
    came = entry.debit == Account.BANK
    return Booked(
        key=str(entry.pk), happened_on=entry.happened_on, words=f"{entry.text}, {entry.happened_on:%-d %B %Y}",
        amount_minor=entry.amount_minor if came else -entry.amount_minor,
        order_code=entry.pledge.code if entry.pledge else "",
    )  # fmt: skip
