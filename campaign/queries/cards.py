"""Card payments of a show as the studio sees them: state, fee, when they are paid out, what differs."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.conf import settings
from django.db.models import Max, Q, Sum

from campaign.models import Account, CardPayment, Dispute, Payout, Pledge, ProcessorEvent, Reconciliation, Refund, Show
from campaign.queries.money import read_balances

State = CardPayment.State
# The processor counts these in other digits than ISO 4217, or takes round sums only.
ODD_CURRENCIES = frozenset({"BHD", "CLF", "IQD", "ISK", "JOD", "KWD", "LYD", "MGA", "OMR", "TND", "UGX", "UYW"})
TROUBLE_DAYS = timedelta(days=90)


def are_cards_set_up() -> bool:
    """Whether the installation has the keys of a card processor."""
    return bool(settings.CARD_SECRET_KEY and settings.CARD_WEBHOOK_SECRET)


def can_take_cards(show: Show) -> bool:
    """Whether a show's money could come by card, if the artist wants it."""
    return are_cards_set_up() and show.currency not in ODD_CURRENCIES


@dataclass(frozen=True, slots=True)
class CardLine:
    """One attempt to pay by card."""

    payment: CardPayment
    given_back_minor: int

    @property
    def arrives_on(self) -> date | None:
        """When its money is on the bank account, as far as the processor has said."""
        return self.payment.payout.arrives_on if self.payment.payout else self.payment.available_on

    @property
    def has_arrived(self) -> bool:
        """It is on the bank account."""
        return self.payment.payout is not None and self.payment.payout.state == "paid"


@dataclass(frozen=True, slots=True)
class CardPage:
    """Everything the page says; `lying_minor` is what the cash book has with the processor."""

    lines: tuple[CardLine, ...]
    paid_minor: int
    fee_minor: int
    lying_minor: int
    unpaid_count: int
    payouts: tuple[Payout, ...]
    disputes: tuple[Dispute, ...]
    troubles: tuple[ProcessorEvent, ...]
    stuck_refunds: tuple[Refund, ...]
    last: Reconciliation | None
    is_comparing: bool
    are_set_up: bool
    are_offered: bool
    are_odd: bool


def read_card_page(show: Show, *, takes_cards: bool, now: datetime) -> CardPage:
    """The page of `show`; eight queries, whatever the number of payments."""
    rows = (
        CardPayment.objects.filter(pledge__show=show)
        .select_related("pledge", "payout")
        .annotate(back=Sum("refunds__amount_minor", filter=Q(refunds__state=Refund.State.DONE), default=0))
        .order_by("-pk")
    )
    lines = tuple(CardLine(row, row.back) for row in rows)
    paid = [line.payment for line in lines if line.payment.state == State.PAID]
    events = ProcessorEvent.objects.filter(is_trouble=True, received_at__gt=now - TROUBLE_DAYS)
    last = Reconciliation.objects.filter(finished_at__isnull=False).first()
    return CardPage(
        lines=tuple(line for line in lines if line.payment.state in (State.PAID, State.OPEN, State.WANTED)),
        paid_minor=sum(payment.amount_minor for payment in paid),
        fee_minor=sum(payment.fee_minor or 0 for payment in paid),
        lying_minor=read_balances(show)[Account.PROCESSOR],
        unpaid_count=sum(line.payment.state in (State.EXPIRED, State.FAILED) for line in lines),
        payouts=tuple(Payout.objects.filter(payments__pledge__show=show).distinct()),
        disputes=tuple(Dispute.objects.filter(payment__pledge__show=show).select_related("payment__pledge")),
        troubles=tuple(
            events.filter(Q(payment=None) | Q(payment__pledge__show=show))
            .select_related("payment__pledge")
            .order_by("-pk")[:50]
        ),
        stuck_refunds=tuple(
            Refund.objects.filter(pledge__show=show, way="card", state=Refund.State.FAILED).select_related("pledge")
        ),
        last=last,
        is_comparing=Reconciliation.objects.filter(finished_at=None).exists(),
        are_set_up=are_cards_set_up(),
        are_offered=takes_cards and can_take_cards(show),
        are_odd=show.currency in ODD_CURRENCIES,
    )


def find_card_payment(pledge: Pledge) -> CardPayment | None:
    """The newest attempt to pay an order by card."""
    return CardPayment.objects.filter(pledge=pledge).order_by("-pk").first()


def read_last_payout_on(show: Show) -> date | None:
    """The last day on which money of card payments comes to the bank account, as the processor says; one query."""
    paid = CardPayment.objects.filter(pledge__show=show, state=State.PAID)
    days = paid.aggregate(out=Max("payout__arrives_on"), waits=Max("available_on", filter=Q(payout=None)))
    return max((day for day in days.values() if day), default=None)


def read_payout_days(show: Show) -> int:
    """
    Calendar days from the close until the processor has paid everything out: its own dates, as far as there are any.

    While card payments may still come, no fewer than the show's setting says. Up to two queries.
    """
    last_on = read_last_payout_on(show)
    if last_on is None:
        return show.payout_days
    ends_on = (show.closed_at or show.closes_at).astimezone(show.zone).date()
    known = max(0, (last_on - ends_on).days)
    more_may_come = show.closed_at is None or show.pledges.filter(state=Pledge.State.HELD, way="card").exists()
    return max(known, show.payout_days) if more_may_come else known
