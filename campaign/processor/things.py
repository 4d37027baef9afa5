"""What the processor tells of, as our own frozen values; reads its answers and asks nothing."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any


@dataclass(frozen=True, slots=True)
class Charge:
    """Money taken from a card; fee and day are None until the processor has worked them out in this currency."""

    amount_minor: int
    currency: str
    fee_minor: int | None
    available_on: date | None
    paid_at: datetime


@dataclass(frozen=True, slots=True)
class Session:
    """One visit to the hosted page; `key` is our own, `reference` the order's code."""

    id: str
    url: str
    key: str
    reference: str
    state: str
    is_paid: bool
    is_live: bool
    amount_minor: int
    currency: str
    payment_id: str
    created_at: datetime
    expires_at: datetime
    charge: Charge | None


@dataclass(frozen=True, slots=True)
class SentBack:
    """A refund at the processor; `key` is ours and empty for one that was made elsewhere."""

    id: str
    key: str
    payment_id: str
    amount_minor: int
    currency: str
    state: str
    reason: str
    created_at: datetime

    @property
    def has_failed(self) -> bool:
        """The money is the studio's again."""
        return self.state in ("failed", "canceled")


@dataclass(frozen=True, slots=True)
class PaidOut:
    """A payout to the bank account."""

    id: str
    amount_minor: int
    currency: str
    arrives_on: date
    state: str


@dataclass(frozen=True, slots=True)
class Part:
    """One movement within a payout; `payment_id` names the card payment it belongs to, if any."""

    id: str
    kind: str
    net_minor: int
    currency: str
    payment_id: str


@dataclass(frozen=True, slots=True)
class Taken:
    """Money taken (below 0) or given again (above 0) for a disputed payment, and the fee for it."""

    id: str
    amount_minor: int
    fee_minor: int
    currency: str
    happened_on: date


@dataclass(frozen=True, slots=True)
class Disputed:
    """A payment that its payer's bank contests."""

    id: str
    payment_id: str
    amount_minor: int
    currency: str
    state: str
    reason: str
    answer_by_at: datetime | None
    opened_at: datetime
    movements: tuple[Taken, ...]


@dataclass(frozen=True, slots=True)
class Event:
    """That something has happened to an object; what, is asked anew."""

    id: str
    kind: str
    object_id: str
    happened_at: datetime


def moment_of(seconds: float) -> datetime:
    """The moment of a count of seconds since 1970."""
    return datetime.fromtimestamp(seconds, UTC)


def id_of(field: Any) -> str:
    """The id of a field that may hold the id or the whole object."""
    return str((field.get("id") if isinstance(field, dict) else field) or "")


def _charge(raw: Any) -> Charge | None:
    if not isinstance(raw, dict):
        return None
    booked = raw.get("balance_transaction")
    known = booked if isinstance(booked, dict) else {}
    same = known.get("currency") == raw["currency"]  # else the fee is in another currency
    return Charge(
        amount_minor=raw["amount"],
        currency=raw["currency"].upper(),
        fee_minor=known["fee"] if same else None,
        available_on=moment_of(known["available_on"]).date() if known else None,
        paid_at=moment_of(raw["created"]),
    )


def read_session(raw: dict[str, Any]) -> Session:
    """A hosted page."""
    payment = raw.get("payment_intent")
    return Session(
        id=raw["id"],
        url=raw.get("url") or "",
        key=(raw.get("metadata") or {}).get("wallful_payment", ""),
        reference=raw.get("client_reference_id") or "",
        state=raw.get("status") or "",
        is_paid=raw.get("payment_status") == "paid",
        is_live=bool(raw.get("livemode")),
        amount_minor=raw.get("amount_total") or 0,
        currency=(raw.get("currency") or "").upper(),
        payment_id=id_of(payment),
        created_at=moment_of(raw["created"]),
        expires_at=moment_of(raw["expires_at"]),
        charge=_charge(payment.get("latest_charge")) if isinstance(payment, dict) else None,
    )


def read_sent_back(raw: dict[str, Any]) -> SentBack:
    """A refund."""
    return SentBack(
        id=raw["id"],
        key=(raw.get("metadata") or {}).get("wallful_refund", ""),
        payment_id=id_of(raw.get("payment_intent")),
        amount_minor=raw["amount"],
        currency=raw["currency"].upper(),
        state=raw.get("status") or "",
        reason=raw.get("failure_reason") or "",
        created_at=moment_of(raw["created"]),
    )


def read_paid_out(raw: dict[str, Any]) -> PaidOut:
    """A payout."""
    arrives_on = moment_of(raw["arrival_date"]).date()
    return PaidOut(raw["id"], raw["amount"], raw["currency"].upper(), arrives_on, raw["status"])


def read_part(raw: dict[str, Any]) -> Part:
    """A movement within a payout."""
    source = raw.get("source")
    payment_id = id_of(source.get("payment_intent")) if isinstance(source, dict) else ""
    return Part(raw["id"], raw["type"], raw["net"], raw["currency"].upper(), payment_id)


def read_disputed(raw: dict[str, Any]) -> Disputed:
    """A contested payment."""
    due_by = (raw.get("evidence_details") or {}).get("due_by")
    return Disputed(
        id=raw["id"],
        payment_id=id_of(raw.get("payment_intent")),
        amount_minor=raw["amount"],
        currency=raw["currency"].upper(),
        state=raw["status"],
        reason=raw.get("reason") or "",
        answer_by_at=moment_of(due_by) if due_by else None,
        opened_at=moment_of(raw["created"]),
        movements=tuple(
            Taken(one["id"], one["amount"], one["fee"], one["currency"].upper(), moment_of(one["created"]).date())
            for one in raw.get("balance_transactions") or []
        ),
    )
