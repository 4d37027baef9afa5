"""What is still to go back, and by which way: shared steps for the use cases beside it, inside their transaction."""

from collections import Counter
from dataclasses import dataclass
from datetime import datetime

from django.db import connection, transaction
from django.db.models import Q, Sum

from campaign.errors import MoreThanReceived, NotInThisState
from campaign.models import Account, CardPayment, CashEntry, Job, Pledge, Refund
from campaign.queries.money import received_for

State = Refund.State
# Not yet given back and not given up.
OPEN = (State.OWED, State.SENDING, State.FAILED)
# Of these, the ones nobody is at work on.
AT_REST = (State.OWED, State.FAILED)
WAY_OF = {Account.BANK: "transfer", Account.CHEQUES: "cheque", Account.CASH: "cash", Account.PROCESSOR: "card"}


@dataclass(slots=True)
class Part:
    """Money of one backer that came one way, and what of it may still go back; minor units."""

    way: str
    left_minor: int
    card_payment: CardPayment | None = None
    iban: str = ""
    account_holder: str = ""

    @property
    def origin(self) -> tuple[str, int | None]:
        """What given-back money is counted against."""
        return self.way, self.card_payment.pk if self.card_payment else None

    def is_like(self, other: "Part") -> bool:
        """True if both can go back as one sum."""
        return (*self.origin, self.iban) == (*other.origin, other.iban)


def owe_refund(
    *, pledge: Pledge, amount_minor: int, key: str, reason: str, now: datetime, batch: Job | None = None
) -> list[Refund]:
    """
    Write down that `amount_minor` (> 0) goes back to the backer, by the ways it came, the newest money first.

    Joins the caller's transaction, or makes its own. `key` (at most 60 characters) names the act.
    Writes: Refund, one row for each way.
    Raises: MoreThanReceived if less than that was received and is not promised back already; nothing is written then.
    Repeat: the same `key` gives the rows that are already there.
    """
    with transaction.atomic():
        lock_pledge(pledge.pk)
        known = list(Refund.objects.filter(Q(key=key) | Q(key__startswith=f"{key}."), pledge=pledge))
        if known:
            return known
        left_minor = still_free(pledge)
        if amount_minor > left_minor:
            raise MoreThanReceived(wanted_minor=amount_minor, left_minor=left_minor)
        parts = _share_out(amount_minor, parts=parts_of(pledge))
        return [
            Refund.objects.create(
                pledge=pledge, key=key if number == 1 else f"{key}.{number}", amount_minor=part.left_minor,
                way=part.way, reason=reason[:200], batch=batch, iban=part.iban, account_holder=part.account_holder,
                card_payment=part.card_payment, created_at=now,
            )
            for number, part in enumerate(parts, start=1)
        ]  # fmt: skip


def owe_rest(*, pledge: Pledge, key: str, reason: str, now: datetime, batch: Job | None = None) -> list[Refund]:
    """
    Write down that all of a backer's money goes back that is not promised back already; nothing where none is left.

    Writes and Repeat: as `owe_refund`.
    """
    with transaction.atomic():
        lock_pledge(pledge.pk)
        left_minor = still_free(pledge)
        if left_minor <= 0:
            return list(Refund.objects.filter(Q(key=key) | Q(key__startswith=f"{key}."), pledge=pledge))
        return owe_refund(pledge=pledge, amount_minor=left_minor, key=key, reason=reason, now=now, batch=batch)


def lock_pledge(pledge_pk: int) -> Pledge:
    """The pledge as it is now; whoever books money for it or owes some back waits until the transaction ends."""
    assert connection.in_atomic_block, "money is promised back inside the transaction of the act"
    pledges = Pledge.objects.select_for_update(of=("self",), no_key=True).select_related("show")
    return pledges.get(pk=pledge_pk)


def promised_back(pledge: Pledge) -> int:
    """What is owed to the backer, with the processor, or could not be given back; minor units."""
    total: int = Refund.objects.filter(pledge=pledge, state__in=OPEN).aggregate(total=Sum("amount_minor", default=0))[
        "total"
    ]
    return total


def still_free(pledge: Pledge) -> int:
    """What was received and neither given back nor promised back; minor units."""
    return received_for(pledge) - promised_back(pledge)


def make_room(pledge: Pledge, *, amount_minor: int, now: datetime, why: str) -> None:
    """
    Call off what is promised back as far as `amount_minor` of the backer's money must be free of promises.

    Writes: Refund; the rest of a sum that is called off in part becomes a row of its own.
    Raises: NotInThisState where the processor has the sum in hand.
    """
    over_minor = amount_minor - still_free(pledge)
    for refund in Refund.objects.filter(pledge=pledge, state__in=AT_REST).order_by("-pk"):
        if over_minor <= 0:
            return
        moved = Refund.objects.filter(pk=refund.pk, state=refund.state).update(
            state=State.CALLED_OFF, last_error=why[:300]
        )
        if moved and refund.amount_minor > over_minor:
            _copy_of(refund, amount_minor=refund.amount_minor - over_minor, now=now)
        over_minor -= moved * refund.amount_minor
    if over_minor > 0 and promised_back(pledge):
        raise NotInThisState(what="A sum for this order", state="on its way back through the card processor")


def _copy_of(refund: Refund, *, amount_minor: int, now: datetime) -> Refund:
    return Refund.objects.create(
        pledge=refund.pledge, amount_minor=amount_minor, way=refund.way, reason=refund.reason, batch=refund.batch,
        iban=refund.iban, account_holder=refund.account_holder, card_payment=refund.card_payment, created_at=now,
    )  # fmt: skip


def parts_of(pledge: Pledge) -> list[Part]:
    """
    The ways a backer's money came, the newest first, each with what of it may still go back.

    Money that went back another way than any came (a cheque returned in cash) counts against the oldest.
    """
    entries = CashEntry.objects.filter(pledge=pledge, corrects=None, corrected_by=None)
    parts = [
        _part(entry) for entry in entries.filter(credit=Account.ORDERS).select_related("bank_line").order_by("-pk")
    ]
    gone: Counter[tuple[str, int | None]] = Counter()
    for entry in entries.filter(debit=Account.REFUNDS).select_related("refund"):
        refund = getattr(entry, "refund", None)
        gone[WAY_OF[Account(entry.credit)], refund.card_payment_id if refund else None] += entry.amount_minor
    for refund in Refund.objects.filter(pledge=pledge, state__in=OPEN):
        gone[refund.way, refund.card_payment_id] += refund.amount_minor
    over_minor = 0
    for origin, amount_minor in gone.items():
        over_minor += _take_off(amount_minor, parts=[part for part in parts if part.origin == origin])
    _take_off(over_minor, parts=parts[::-1])
    return _joined([part for part in parts if part.left_minor > 0])


def _part(entry: CashEntry) -> Part:
    way, line = WAY_OF[Account(entry.debit)], getattr(entry, "bank_line", None)
    card = None
    if way == "card":
        session_id = entry.key.removeprefix("payment:card:")
        card = CardPayment.objects.filter(pledge=entry.pledge, session_id=session_id).exclude(session_id="").first()
    iban, holder = (line.party_iban, line.party_name) if line else ("", "")
    return Part(way=way, left_minor=entry.amount_minor, card_payment=card, iban=iban, account_holder=holder)


def _take_off(amount_minor: int, *, parts: list[Part]) -> int:
    """Lower what is left of `parts`, the first first. Returns what could not be taken off."""
    for part in parts:
        taken = min(amount_minor, part.left_minor)
        part.left_minor -= taken
        amount_minor -= taken
    return amount_minor


def _joined(parts: list[Part]) -> list[Part]:
    joined: list[Part] = []
    for part in parts:
        same = next((one for one in joined if one.is_like(part)), None)
        if same:
            same.left_minor += part.left_minor
        else:
            joined.append(part)
    return joined


def _share_out(amount_minor: int, *, parts: list[Part]) -> list[Part]:
    """The first of `parts` that add up to `amount_minor`, the last of them as far as it is needed."""
    shared: list[Part] = []
    for part in parts:
        part.left_minor = min(part.left_minor, amount_minor)
        if part.left_minor > 0:
            shared.append(part)
        amount_minor -= part.left_minor
    assert amount_minor == 0, "what was received is the sum of its parts"
    return shared
