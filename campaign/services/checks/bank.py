"""Bank lines, card payments and payouts against what is booked for them."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from django.db.models import Q

from campaign.models import Account, BankLine, CardPayment, CashEntry, Payout
from campaign.services.checks.findings import Finding, finding


def check_bank_lines() -> Finding:
    """A bank line that is booked has its entry: same sum, same direction, same order."""
    return finding("bank lines", _bank_lines())


def _bank_lines() -> Iterator[str | None]:
    for line in BankLine.objects.select_related("entry").iterator():
        entry = line.entry
        if entry is None:
            yield None
        elif (entry.debit if line.amount_minor > 0 else entry.credit) != Account.BANK:
            yield f"bank line {line.code} is booked on the other side of the account"
        # What the bank took out on its way is booked beside it, so the entry may be the sum before that.
        elif entry.currency != line.currency or entry.amount_minor not in (
            abs(line.amount_minor),
            abs(line.amount_minor + line.fee_minor),
        ):
            yield f"bank line {line.code} says {line.amount_minor}, its entry {entry.amount_minor}"
        elif line.pledge_id != entry.pledge_id:
            yield f"bank line {line.code} and its entry name two orders"
        else:
            yield None


def check_card_payments() -> Finding:
    """
    Every card payment is booked once, for its order and with the processor's own fee, and no other is booked.

    What came is booked, whatever was asked for; how often the two differ stands in the note.
    """
    odd: list[str] = []
    found = finding("card payments", _card_payments(odd))
    return replace(found, note=f"{len(odd)} brought another sum than asked for" if odd else "")


def _card_payments(odd: list[str]) -> Iterator[str | None]:
    booked = {
        entry.key: entry
        for entry in CashEntry.objects.filter(debit=Account.PROCESSOR, key__startswith="payment:card:").iterator()
    }
    fees = dict(CashEntry.objects.filter(key__startswith="fee:card:").values_list("key", "amount_minor"))
    for payment in CardPayment.objects.filter(state=CardPayment.State.PAID).iterator():
        entry = booked.pop(f"payment:card:{payment.session_id}", None)
        fee_minor = fees.get(f"fee:card:{payment.session_id}", 0)
        if entry is None:
            yield f"card payment {payment.key} is paid and not booked"
        elif entry.pledge_id != payment.pledge_id:
            yield f"card payment {payment.key} is booked for another order"
        elif payment.fee_minor is not None and fee_minor != payment.fee_minor:
            yield f"card payment {payment.key} cost {payment.fee_minor}, booked is {fee_minor}"
        else:
            odd.extend([payment.key] if entry.amount_minor != payment.amount_minor else [])
            yield None
    for key in booked:
        yield f"{key} is booked, and no card payment is paid for it"


def check_processor() -> Finding:
    """
    Every payout that is booked is one the processor tells of, and no more left the processor than came to it.

    What went back to cards or was contested after it had been paid out is the exception: that the processor lends.
    """
    return finding("money with the card processor", _processor())


def _processor() -> Iterator[str | None]:
    told = {f"payout:{payout_id}"[:60] for payout_id in Payout.objects.values_list("payout_id", flat=True)}
    balance: Counter[str] = Counter()
    for entry in CashEntry.objects.filter(Q(debit=Account.PROCESSOR) | Q(credit=Account.PROCESSOR)).iterator():
        sign = 1 if entry.debit == Account.PROCESSOR else -1
        other = entry.credit if sign == 1 else entry.debit
        is_lent = other == Account.REFUNDS or entry.key.startswith("fee:card-dispute:")
        balance[entry.currency] += 0 if is_lent else sign * entry.amount_minor
        is_payout = entry.key.startswith("payout:")
        unknown = is_payout and entry.key.rpartition(":")[0] not in told
        yield f"{entry.key} is booked, and the processor tells of no such payout" if unknown else None
    for currency, amount in sorted(balance.items()):
        yield f"{-amount} {currency} more left the processor than came to it" if amount < 0 else None
