"""
Mail that is never lost: written with the act it tells of, claimed by lease, sent outside any transaction.

The only module that speaks to the mail server. At least once: a repeat carries the same Message-ID.
"""

import logging
import smtplib
import time
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

import css_inline
from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection
from django.db import connection
from django.db.models import F, Q, QuerySet
from django.template.loader import render_to_string

from campaign.errors import TemporaryFailure
from campaign.models import Bounce, Job, OutboxMessage, Show, Suppression
from campaign.returned import find_status, is_lasting

log = logging.getLogger(__name__)
LEASE = timedelta(minutes=2)
# With an hour between later ones this is more than four days: the least that RFC 5321, 4.5.4.1, asks of a sender.
MAX_ATTEMPTS = 110
LONGEST_PAUSE_S = 3600
AT_ONCE = 50
NOT_ALONE = "a mail is written inside the transaction of the act it tells of"
RENDERED = (
    "name", "kind", "show", "recipient", "subject", "text", "html", "headers", "due_at", "created_at",
)  # fmt: skip
State, Kind = OutboxMessage.State, OutboxMessage.Kind
_inliner = css_inline.CSSInliner(load_remote_stylesheets=False)


class RecipientRefused(TemporaryFailure):
    """The mail server does not know the recipient; `answer` is what it said."""

    def __init__(self, message: str, *, permanent: bool, answer: str) -> None:
        super().__init__(message, permanent=permanent)
        self.answer = answer


class ServerAway(TemporaryFailure):
    """The mail server takes no mail at all just now; says nothing against the message it was met with."""


def render(
    *,
    name: str,
    key: str,
    kind: str,
    recipient: str,
    context: dict[str, Any],
    now: datetime,
    show: Show | None,
    reply_to: str = "",
    headers: dict[str, str] | None = None,
) -> OutboxMessage:
    """A message from the templates mail/<name>.{subject,txt,html}, due at once, not written yet."""
    subject = " ".join(render_to_string(f"mail/{name}.subject", context).split())
    return OutboxMessage(
        key=key,
        name=name,
        kind=kind,
        show=show,
        recipient=recipient,
        subject="".join(c for c in subject if c.isprintable())[:120],
        text=render_to_string(f"mail/{name}.txt", context).strip() + "\n",
        html=_inliner.inline(render_to_string(f"mail/{name}.html", {**context, "subject": subject})),
        headers=({"Reply-To": reply_to} if reply_to else {}) | (headers or {}),
        due_at=now,
        created_at=now,
    )


def enqueue(*, key: str, batch: Job | None = None, **parts: Any) -> OutboxMessage:
    """
    Render a message and write it in the caller's transaction; `parts` as `render` takes them.

    Repeat: the same `key` gives the message that is already there.
    """
    assert connection.in_atomic_block, NOT_ALONE
    made = render(key=key, **parts)
    fields = {name: getattr(made, name) for name in RENDERED} | {"batch": batch}
    message, _ = OutboxMessage.objects.get_or_create(key=key, defaults=fields)
    return message


def enqueue_all(messages: Sequence[OutboxMessage]) -> None:
    """
    Write many messages in the caller's transaction, `AT_ONCE` to a statement: rendered before it, they hold the
    write lock no longer than their rows take.

    Repeat: a message whose key is there already is left out. Two callers with the same keys must not meet.
    """
    assert connection.in_atomic_block, NOT_ALONE
    known = set(OutboxMessage.objects.filter(key__in=[one.key for one in messages]).values_list("key", flat=True))
    OutboxMessage.objects.bulk_create([one for one in messages if one.key not in known], batch_size=AT_ONCE)


def claim(*, now: datetime, limit: int = 50) -> list[OutboxMessage]:
    """
    Take up to `limit` due messages for this worker; each is ours alone until its lease ends.

    A message whose lease ran out after the mail server had the text may have been sent: mail about one's own
    order is sent again (a repeat is harmless and recognisable), news waits for the artist's decision.
    """
    expired = Q(state=State.SENDING, lease_until_at__lt=now)
    OutboxMessage.objects.filter(expired, is_data_handed_over=True, kind=Kind.CAMPAIGN).update(
        state=State.UNKNOWN, lease_until_at=None
    )
    free = Q(state=State.PENDING, due_at__lte=now) | expired
    taken: list[OutboxMessage] = []
    # "transactional" before "campaign": nobody waits for a confirmation until a thousand pieces of news are out.
    due = OutboxMessage.objects.filter(free).order_by("-kind", "pk").values_list("pk", flat=True)
    for pk in list(due[:limit]):
        won = OutboxMessage.objects.filter(free, pk=pk).update(
            state=State.SENDING, lease_until_at=now + LEASE, attempts=F("attempts") + 1
        )
        if won == 1:  # else another worker was quicker
            taken.append(OutboxMessage.objects.get(pk=pk))
    return taken


def deliver_due(*, now: datetime, limit: int = 50) -> int:
    """Claim and send what is due, over one connection. Returns how many went out; failures stay in their rows."""
    messages = claim(now=now, limit=limit)
    if not messages:
        return 0
    smtp, started_s, sent = get_connection(), time.monotonic(), 0
    try:
        for position, message in enumerate(messages):
            elapsed = timedelta(seconds=time.monotonic() - started_s)
            try:
                sent += _deliver(message, smtp=smtp, now=now, lease_until_at=now + elapsed + LEASE)
            except ServerAway:  # each of the others would only wait for the same silence
                _give_back(messages[position + 1 :], due_at=now + _pause(message))
                break
    finally:
        smtp.close()
    return sent


def _deliver(message: OutboxMessage, *, smtp: Any, now: datetime, lease_until_at: datetime) -> int:
    """Send one message under a fresh lease. Returns 1 if it went out. Raises: ServerAway, noted in the row."""
    if message.kind == Kind.CAMPAIGN and _is_unwanted(message):
        _held(message).update(state=State.DROPPED, lease_until_at=None)
        return 0
    if _held(message).update(is_data_handed_over=True, lease_until_at=lease_until_at) != 1:
        return 0  # those before it took so long that another worker has it by now
    message.lease_until_at = lease_until_at
    try:
        _send(message, smtp=smtp)
    except TemporaryFailure as failure:
        _note_failure(message, failure=failure, now=now)
        if isinstance(failure, RecipientRefused) and failure.permanent:
            _note_refusal(message, answer=failure.answer, now=now)
        if isinstance(failure, ServerAway):
            raise
        return 0
    _held(message).update(state=State.SENT, sent_at=now, lease_until_at=None, last_error="")
    return 1


def _held(message: OutboxMessage) -> QuerySet[OutboxMessage]:
    """The row while the lease in it is this worker's."""
    return OutboxMessage.objects.filter(pk=message.pk, state=State.SENDING, lease_until_at=message.lease_until_at)


def _pause(message: OutboxMessage) -> timedelta:
    return timedelta(seconds=min(LONGEST_PAUSE_S, 5 * 2 ** min(message.attempts, 10)))


def _note_failure(message: OutboxMessage, *, failure: TemporaryFailure, now: datetime) -> None:
    is_over = failure.permanent or message.attempts >= MAX_ATTEMPTS
    _held(message).update(
        state=State.STUCK if is_over else State.PENDING,
        lease_until_at=None,
        is_data_handed_over=False,
        due_at=now + _pause(message),
        last_error=str(failure)[:300],
    )
    log.warning("mail %s (%s) not sent, attempt %s", message.pk, message.name, message.attempts)


def _note_refusal(message: OutboxMessage, *, answer: str, now: datetime) -> None:
    """A refusal at the door says of an address what a report says that comes later; see `services/bounces.py`."""
    status = find_status(answer)
    kind = Bounce.Kind.HARD if is_lasting(status) else Bounce.Kind.SOFT
    fields = {"email": message.recipient, "kind": kind, "status": status, "words": answer[:300], "read_at": now}
    digest = f"smtp:{message.uid}:{message.attempts}"
    Bounce.objects.get_or_create(report_hash=digest, defaults={**fields, "message": message})


def _give_back(messages: list[OutboxMessage], *, due_at: datetime) -> None:
    """What this worker claimed and did not come to; it was no attempt."""
    for message in messages:
        _held(message).update(state=State.PENDING, lease_until_at=None, attempts=F("attempts") - 1, due_at=due_at)


def _is_unwanted(message: OutboxMessage) -> bool:
    """News that somebody has ended, or whose address takes no mail: asked once more, just before it would go."""
    if Suppression.objects.filter(show=message.show, email__iexact=message.recipient).exists():
        return True
    return Bounce.objects.filter(email__iexact=message.recipient, kind=Bounce.Kind.HARD).exists()


def _send(message: OutboxMessage, *, smtp: Any) -> None:
    """
    Hand one message to the mail server.

    Raises: ServerAway for silence, a refused sign-in or sender; TemporaryFailure for a refused message, permanent for
    answers of the 500 class.
    """
    domain = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].rstrip(">")
    headers = {"Message-ID": f"<{message.uid}@{domain}>", "Auto-Submitted": "auto-generated", **message.headers}
    mail = EmailMultiAlternatives(
        subject=message.subject, body=message.text, to=[message.recipient], headers=headers, connection=smtp
    )
    mail.attach_alternative(message.html, "text/html")
    try:
        mail.send()
    except smtplib.SMTPRecipientsRefused as error:
        ((code, said),) = error.recipients.values()  # a mail has one recipient
        answer = _one_line(code, said)
        raise RecipientRefused(f"recipient refused: {code}", permanent=code >= 500, answer=answer) from error
    except smtplib.SMTPDataError as error:
        answer = _one_line(error.smtp_code, error.smtp_error)
        if find_status(answer).startswith("5.1."):  # some servers know only now that there is no such address
            raise RecipientRefused(f"recipient refused: {error.smtp_code}", permanent=True, answer=answer) from error
        raise TemporaryFailure(f"mail refused: {error.smtp_code}", permanent=error.smtp_code >= 500) from error
    except smtplib.SMTPResponseException as error:  # greeting, sign-in or sender: the artist's to mend, for all mail
        smtp.close()
        raise ServerAway(f"mail server: {error.smtp_code}") from error
    except (OSError, smtplib.SMTPException) as error:
        smtp.close()  # the next message opens a fresh connection
        raise ServerAway(f"mail server not reached: {type(error).__name__}") from error
    except Exception as error:  # a message that cannot be put into words for the server must not keep the others
        log.exception("mail %s (%s) cannot be written", message.pk, message.name)
        smtp.close()
        raise TemporaryFailure(f"cannot be written: {type(error).__name__}") from error


def _one_line(code: int, said: bytes | str) -> str:
    words = said.decode("utf-8", "replace") if isinstance(said, bytes) else said
    return "".join(letter if letter.isprintable() else " " for letter in f"{code} {words}")


def settle_unknown(*, message: OutboxMessage, resend: bool, now: datetime) -> bool:
    """The artist's word on a mail that was given up, or that may or may not have gone out. True if it was open."""
    moved = OutboxMessage.objects.filter(pk=message.pk, state__in=[State.UNKNOWN, State.STUCK])
    if resend:
        return moved.update(state=State.PENDING, due_at=now, attempts=0, is_data_handed_over=False) == 1
    return moved.filter(state=State.UNKNOWN).update(state=State.SENT, sent_at=now) == 1
