"""What a payment or a refund did, in a sentence for the artist."""

from typing import Any

from campaign.measures.money import format_minor
from campaign.services.payments import Outcome, Receipt


def payment_words(receipt: Receipt, *, pledge: Any, amount_minor: int, show: Any) -> str:
    """`pledge` as it was before the payment, so that a late one can be told from one in time."""

    def money(minor: int) -> str:
        return format_minor(minor, currency=show.currency, locale=show.locale)

    booked, who = money(amount_minor), pledge.name
    if receipt.outcome == Outcome.PART:
        return f"{booked} is booked. {money(receipt.missing_minor)} is still missing; the copies stay held for {who}."
    if receipt.outcome == Outcome.OWED_BACK:
        why = _why_owed(receipt, pledge=pledge)
        return f"{booked} is booked, but {why}: {money(receipt.received_minor)} is owed back to {who}."
    late = "The order had lapsed; its copies are spoken for again. " if pledge.state == "lapsed" else ""
    if receipt.outcome == Outcome.OVER:
        over = money(receipt.received_minor - pledge.total_minor)
        return f"{booked} is booked. {late}That is {over} more than the order: ask {who} or give it back."
    return f"{booked} is booked. {late}The order is paid, and a mail says so to {who}."


def _why_owed(receipt: Receipt, *, pledge: Any) -> str:
    if pledge.state != "lapsed":
        return f"the order is {pledge.get_state_display()}"
    if receipt.missing_minor:
        return "the order had lapsed and this is not all of it"
    return "the order had lapsed and its copies are gone"


def refund_words(amount_minor: int, *, pledge: Any, show: Any) -> str:
    """What went back to whom."""
    amount = format_minor(amount_minor, currency=show.currency, locale=show.locale)
    return f"{amount} is booked as given back to {pledge.name}."
