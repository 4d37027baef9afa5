"""
Card payments at the processor: the only module that knows its library. Not for booking: see services.

Every call has a time limit and no retries of its own; who may ask again, and with which key, the services decide. No
data of a card passes through here: the backer types them on the processor's own page.
"""

import functools
import logging
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any, TypeVar

from django.conf import settings

from campaign.errors import TemporaryFailure
from campaign.processor import things
from campaign.processor.things import Charge, Disputed, Event, PaidOut, Part, SentBack, Session, Taken

if TYPE_CHECKING:
    import stripe

__all__ = ["Charge", "Disputed", "Event", "PaidOut", "Part", "SentBack", "Session", "Taken"]
T = TypeVar("T")
# The library's own figures: a hosted page stands open for half an hour at least and a day at most.
SHORTEST, LONGEST = timedelta(minutes=30), timedelta(hours=24)
KEY_LIFE = timedelta(hours=24)  # afterwards an idempotency key may be forgotten, and the act be done again
TOLERANCE_S = 300
LONGEST_BODY = 64 * 1024
PER_PAGE = 100
_PAID_WITH = "payment_intent.latest_charge.balance_transaction"
_TEST_KEYS = ("sk_test_", "rk_test_")


class Away(TemporaryFailure):
    """No answer: the act may or may not have been done. The same key asks for it again."""


class AnsweredWithError(TemporaryFailure):
    """An answer of the 500 class. It is kept under the key, so only another key brings another answer."""


class Busy(TemporaryFailure):
    """Too many calls: nothing was done by this one."""


class KeyInUse(Busy):
    """Another call with the same key is being worked on."""


class NotSetUp(TemporaryFailure):
    """The key is missing, wrong or may not do this; the operator's to mend, for all calls alike."""


class NotThere(TemporaryFailure):
    """The processor knows no such thing."""

    def __init__(self, message: str) -> None:
        super().__init__(message, permanent=True)


class BadSignature(Exception):
    """A message that the processor did not sign with our secret, or signed too long ago."""


def is_live() -> bool:
    """True with a key for real money."""
    return not settings.CARD_SECRET_KEY.startswith(_TEST_KEYS)


@functools.lru_cache(maxsize=8)
def _client_of(key: str, api: str, seconds: float) -> "stripe.StripeClient":
    import stripe  # a fifth of a second, which commands that take no cards need not wait for

    stripe.enable_telemetry = False
    logging.getLogger("stripe").setLevel(logging.WARNING)
    http = stripe.RequestsClient(timeout=(min(3.05, seconds), seconds))
    addresses: Any = {"api": api} if api else None
    return stripe.StripeClient(key, base_addresses=addresses, max_network_retries=0, http_client=http)


def _client() -> Any:
    if not settings.CARD_SECRET_KEY:
        raise NotSetUp("no key of a card processor is set")
    return _client_of(settings.CARD_SECRET_KEY, settings.CARD_API, settings.CARD_SECONDS)


def _call(act: Callable[[Any], T]) -> T:
    """
    Do `act` with the client.

    Raises: Away, Busy, AnsweredWithError, NotSetUp, NotThere; TemporaryFailure(permanent=True) for any other no.
    """
    client = _client()
    import stripe

    try:
        return act(client)
    except stripe.APIConnectionError as error:
        raise Away(f"card processor not reached: {type(error.__cause__).__name__}") from error
    except (stripe.AuthenticationError, stripe.PermissionError) as error:
        raise NotSetUp(f"the card processor refuses the key: {error.http_status}") from error
    except stripe.StripeError as error:
        raise _failure(error) from error


def _failure(error: "stripe.StripeError") -> TemporaryFailure:
    status = error.http_status or 0
    words = f"card processor: {status} {error.code or ''} {error.user_message or ''}"[:300]
    if status < 400:
        return Away(words)
    if status == 409:
        return KeyInUse(words)
    if status == 429 or error.code == "rate_limit":
        return Busy(words)
    if status >= 500:
        return AnsweredWithError(words)
    return NotThere(words) if status == 404 else TemporaryFailure(words, permanent=True)


def open_session(
    *, key: str, reference: str, title: str, amount_minor: int, currency: str, success_url: str, cancel_url: str,
    expires_at: datetime,
) -> Session:  # fmt: skip
    """Open a hosted page for one sum. The same `key` with the same words gives the same page."""
    named = {"wallful_payment": key}
    line = {"currency": currency.lower(), "unit_amount": amount_minor, "product_data": {"name": title}}
    params = {
        "mode": "payment", "payment_method_types": ["card"], "line_items": [{"price_data": line, "quantity": 1}],
        "client_reference_id": reference, "metadata": named, "adaptive_pricing": {"enabled": False},
        "payment_intent_data": {"metadata": named, "description": title, "capture_method": "automatic"},
        "success_url": success_url, "cancel_url": cancel_url, "expires_at": int(expires_at.timestamp()),
    }  # fmt: skip
    options = {"idempotency_key": key}
    return _call(lambda client: _one(client.v1.checkout.sessions.create(params, options), things.read_session))


def fetch_session(session_id: str) -> Session:
    """A hosted page with what was paid on it, and the processor's fee."""
    params = {"expand": [_PAID_WITH]}
    return _call(lambda client: _one(client.v1.checkout.sessions.retrieve(session_id, params), things.read_session))


def close_session(session_id: str) -> Session:
    """End a hosted page that was not paid. Raises: TemporaryFailure(permanent=True) where it was, or has ended."""
    return _call(lambda client: _one(client.v1.checkout.sessions.expire(session_id), things.read_session))


def list_sessions(*, since: datetime) -> list[Session]:
    """Hosted pages opened since a moment, the newest first, each with what was paid."""
    params = _since(since) | {"expand": [f"data.{_PAID_WITH}"]}
    return _call(lambda client: _all(client.v1.checkout.sessions.list(params), things.read_session))


def find_session_of_payment(payment_id: str) -> Session | None:
    """The hosted page on which a payment was made."""
    params = {"payment_intent": payment_id, "expand": [f"data.{_PAID_WITH}"]}
    found = _call(lambda client: _all(client.v1.checkout.sessions.list(params), things.read_session))
    return found[0] if found else None


def fetch_payment_id_of_charge(charge_id: str) -> str:
    """To which payment a charge belongs; empty if to none."""
    return _call(lambda client: things.id_of(client.v1.charges.retrieve(charge_id).to_dict().get("payment_intent")))


def send_back(*, key: str, name: str, payment_id: str, amount_minor: int) -> SentBack:
    """Give back a part or all of a payment. `name` is how the refund is found again, `key` the idempotency key."""
    params = {"payment_intent": payment_id, "amount": amount_minor, "metadata": {"wallful_refund": name}}
    return _call(lambda client: _one(client.v1.refunds.create(params, {"idempotency_key": key}), things.read_sent_back))


def fetch_sent_back(refund_id: str) -> SentBack:
    """A refund as it stands now."""
    return _call(lambda client: _one(client.v1.refunds.retrieve(refund_id), things.read_sent_back))


def list_sent_back(*, since: datetime | None = None, payment_id: str = "") -> list[SentBack]:
    """Refunds since a moment, or of one payment."""
    params = (_since(since) if since else {"limit": PER_PAGE}) | ({"payment_intent": payment_id} if payment_id else {})
    return _call(lambda client: _all(client.v1.refunds.list(params), things.read_sent_back))


def fetch_dispute(dispute_id: str) -> Disputed:
    """A contested payment as it stands now."""
    return _call(lambda client: _one(client.v1.disputes.retrieve(dispute_id), things.read_disputed))


def list_disputes(*, since: datetime) -> list[Disputed]:
    """Payments contested since a moment."""
    return _call(lambda client: _all(client.v1.disputes.list(_since(since)), things.read_disputed))


def fetch_payout(payout_id: str) -> PaidOut:
    """A payout as it stands now."""
    return _call(lambda client: _one(client.v1.payouts.retrieve(payout_id), things.read_paid_out))


def list_payouts(*, since: datetime) -> list[PaidOut]:
    """Payouts begun since a moment."""
    return _call(lambda client: _all(client.v1.payouts.list(_since(since)), things.read_paid_out))


def list_parts(payout_id: str) -> list[Part]:
    """What a payout is made of, without the payout itself; empty where the processor does not say."""
    params = {"payout": payout_id, "limit": PER_PAGE, "expand": ["data.source"]}
    parts = _call(lambda client: _all(client.v1.balance_transactions.list(params), things.read_part))
    return [part for part in parts if part.kind != "payout"]


def read_event(*, body: bytes, signature: str) -> Event:
    """
    A message of the processor, if it is really one.

    Raises: BadSignature for one that is forged, more than `TOLERANCE_S` old, or not to be read.
    """
    import stripe

    try:
        event = _client().construct_event(body, signature, settings.CARD_WEBHOOK_SECRET, TOLERANCE_S).to_dict()
        thing = event["data"]["object"]
        return Event(
            id=str(event["id"])[:120], kind=str(event["type"])[:80], object_id=str(thing["id"])[:120],
            happened_at=things.moment_of(event["created"]),
        )  # fmt: skip
    except (stripe.SignatureVerificationError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise BadSignature(type(error).__name__) from error


def _since(moment: datetime) -> dict[str, Any]:
    return {"created": {"gte": int(moment.timestamp())}, "limit": PER_PAGE}


def _one(thing: Any, read: Callable[[dict[str, Any]], T]) -> T:
    return read(thing.to_dict())


def _all(page: Any, read: Callable[[dict[str, Any]], T]) -> list[T]:
    return [read(thing.to_dict()) for thing in page.auto_paging_iter()]
