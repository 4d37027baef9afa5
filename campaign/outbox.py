"""
Mail that is never lost: written with the act it tells of, claimed by lease, sent outside any transaction.

At least once: a repeat carries the same Message-ID. What is said to the mail server is in `mail_server.py`, who
may send in `sending.py`.
"""

import logging
import time
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

import css_inline
from django.core.mail import get_connection
from django.db import connection, transaction
from django.db.models import F, QuerySet
from django.template.loader import get_template, render_to_string

from campaign.errors import TemporaryFailure, pause_after
from campaign.mail_server import Line, RecipientRefused, ServerAway
from campaign.mail_server import send as _send
from campaign.models import Bounce, Job, OutboxMessage, Show, Suppression
from campaign.models.rows import change, columns, insert, made_of
from campaign.returned import find_status, is_lasting
from campaign.sending import quick_notes, sending_alone

log = logging.getLogger(__name__)
LEASE = timedelta(minutes=2)
# Of a lease this much must be left when a mail goes to the server, which may take its time: else it is renewed first.
ENOUGH = timedelta(seconds=90)
AT_MOST_S = 20.0  # one call goes on sending for so long; what is left is given back, for the next sweep
# With an hour between later ones this is more than four days: the least that RFC 5321, 4.5.4.1, asks of a sender.
MAX_ATTEMPTS = 110
AT_ONCE = 100
LOOK_AGAIN_S = 1.0  # in the middle of news: whether something about an order has become due
NOT_ALONE = "a mail is written inside the transaction of the act it tells of"
RENDERED = (
    "name", "kind", "show", "recipient", "subject", "text", "html", "headers", "due_at", "created_at",
)  # fmt: skip
State, Kind = OutboxMessage.State, OutboxMessage.Kind
_TABLE = OutboxMessage._meta.db_table
_inliner = css_inline.CSSInliner(load_remote_stylesheets=False)


def load_templates(name: str) -> None:
    """Parse the templates of a mail, unless this process has them."""
    for kind in ("subject", "txt", "html"):
        get_template(f"mail/{name}.{kind}")


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


def write(message: OutboxMessage) -> None:
    """Write a rendered message in the caller's transaction; its key is a new one."""
    assert connection.in_atomic_block, NOT_ALONE
    insert(message)


def enqueue_all(messages: Sequence[OutboxMessage]) -> None:
    """
    Write many messages in the caller's transaction, `AT_ONCE` to a statement: rendered before it, they hold the
    write lock no longer than their rows take.

    Repeat: a message whose key is there already is left out. Two callers with the same keys must not meet.
    """
    assert connection.in_atomic_block, NOT_ALONE
    known = set(OutboxMessage.objects.filter(key__in=[one.key for one in messages]).values_list("key", flat=True))
    OutboxMessage.objects.bulk_create([one for one in messages if one.key not in known], batch_size=AT_ONCE)


_EXPIRED = f"state = '{State.SENDING}' AND lease_until_at < %s"
_FREE = f"(state = '{State.PENDING}' AND due_at <= %s OR {_EXPIRED})"
_UNSURE = f"{_EXPIRED} AND is_data_handed_over AND kind = '{Kind.CAMPAIGN}'"
_LOOK = (
    f"SELECT EXISTS (SELECT 1 FROM {_TABLE} WHERE {_FREE}{{only}}), "  # noqa: S608
    f"EXISTS (SELECT 1 FROM {_TABLE} WHERE {_UNSURE})"
)
# "transactional" before "campaign": nobody waits for a confirmation until a thousand pieces of news are out. What
# another process is just taking is passed over; on SQLite there is one writer at a time.
_CLAIM = (
    f"WITH due AS MATERIALIZED (SELECT id FROM {_TABLE} WHERE {_FREE}{{only}} ORDER BY kind DESC, id LIMIT %s{{skip}}) "  # noqa: S608
    f"UPDATE {_TABLE} SET state = '{State.SENDING}', lease_until_at = %s, attempts = attempts + 1 "
    f"WHERE id IN (SELECT id FROM due) AND {_FREE} RETURNING {columns(OutboxMessage, _TABLE)}"
)

_HANDED_OVER = "is_data_handed_over = %s, lease_until_at = %s"
_SENT_AND_NEXT = (
    f"UPDATE {_TABLE} SET state = CASE WHEN id = %s THEN %s ELSE state END, "  # noqa: S608
    "sent_at = CASE WHEN id = %s THEN %s ELSE sent_at END, "
    "lease_until_at = CASE WHEN id = %s THEN %s WHEN id = %s THEN NULL ELSE lease_until_at END, "
    "last_error = CASE WHEN id = %s THEN '' ELSE last_error END, "
    "is_data_handed_over = CASE WHEN id = %s THEN %s ELSE is_data_handed_over END "
    "WHERE state = %s AND (id = %s AND lease_until_at = %s OR id = %s AND lease_until_at = %s)"
)


def claim(*, now: datetime, limit: int = AT_ONCE, is_news_left: bool = False) -> list[OutboxMessage]:
    """
    Take up to `limit` due messages for this worker, with `is_news_left` of those about orders; each is ours alone
    until its lease ends. One commit.

    A message whose lease ran out after the mail server had the text may have been sent: mail about one's own
    order is sent again (a repeat is harmless and recognisable), news waits for the artist's decision.
    """
    moment, until = (connection.ops.adapt_datetimefield_value(at) for at in (now, now + LEASE))
    only = f" AND kind = '{Kind.TRANSACTIONAL}'" if is_news_left else ""
    is_due, is_unsure = _look(now, only=only)
    if not is_due:
        return []  # without asking for the write lock
    skip = " FOR UPDATE SKIP LOCKED" if connection.vendor == "postgresql" else ""
    with transaction.atomic(durable=True), connection.cursor() as cursor:
        if is_unsure:
            OutboxMessage.objects.filter(
                state=State.SENDING, lease_until_at__lt=now, is_data_handed_over=True, kind=Kind.CAMPAIGN
            ).update(state=State.UNKNOWN, lease_until_at=None)
        cursor.execute(_CLAIM.format(skip=skip, only=only), [moment, moment, limit, until, moment, moment])
        taken = [made_of(OutboxMessage, values) for values in cursor.fetchall()]
    taken.sort(key=lambda message: message.pk)
    return sorted(taken, key=lambda message: message.kind, reverse=True)


def _look(now: datetime, *, only: str = "") -> tuple[bool, bool]:
    """Whether anything may be claimed, and whether there is news that may have gone out."""
    moment = connection.ops.adapt_datetimefield_value(now)
    with connection.cursor() as cursor:
        cursor.execute(_LOOK.format(only=only), [moment, moment, moment])
        is_due, is_unsure = cursor.fetchone()
    return bool(is_due), bool(is_unsure)


def deliver_due(*, now: datetime, limit: int = AT_ONCE) -> int:
    """
    Claim and send what is due, `limit` at a time, each batch over one connection. Returns how many went out.

    Failures stay in their rows. Ends when nothing is due any more, when the server takes none, or with the first mail
    that is out after `AT_MOST_S`; at once while another process of this site is sending: so at most one mail is in
    hand, and killed with it.
    """
    started_s, sent = time.monotonic(), 0

    def moment() -> datetime:
        return now + timedelta(seconds=time.monotonic() - started_s)

    def is_over() -> bool:
        return time.monotonic() - started_s > AT_MOST_S

    if not _look(now)[0]:
        return 0  # as most sweeps find it
    with sending_alone() as is_alone, quick_notes():
        while is_alone and (waiting := claim(now=moment(), limit=limit)):
            line, looked_s = Line(get_connection()), time.monotonic()
            try:
                waiting = _without_unwanted(waiting)
                while waiting and not is_over():
                    message, *waiting = waiting
                    if message.kind == Kind.CAMPAIGN and time.monotonic() - looked_s > LOOK_AGAIN_S:
                        waiting = [*claim(now=moment(), limit=limit, is_news_left=True), *waiting]
                        looked_s = time.monotonic()
                    following = waiting[0] if waiting else None
                    sent += _deliver(message, line=line, following=following, now=now, at=moment())
                _give_back(waiting, due_at=moment())
            except ServerAway:  # each of the others would only wait for the same silence
                _give_back(waiting, due_at=now + pause_after(message.attempts))
                break
            finally:
                line.close()
            if is_over():
                break
    return sent


def _deliver(
    message: OutboxMessage, *, line: Line, following: OutboxMessage | None, now: datetime, at: datetime
) -> int:
    """
    Send one message, at the moment `at`. Returns 1 if it went out. Raises: ServerAway, noted in the row.

    News is noted as handed over before the server gets it, so that after a crash the artist is asked. Mail about an
    order would be sent again either way: while enough is left of its lease it is ours, and goes out without a note.
    """
    if not _may_go_out(message, at=at):
        if not _note(message, _HANDED_OVER, True, at + LEASE):
            return 0  # those before it took so long that another worker has it by now
        message.lease_until_at = at + LEASE
    began_s = time.monotonic()
    try:
        _send(message, line=line, following=following)
    except TemporaryFailure as failure:
        _note_failure(message, failure=failure, now=now)
        if isinstance(failure, RecipientRefused) and failure.permanent:
            _note_refusal(message, answer=failure.answer, now=now)
        if isinstance(failure, ServerAway):
            raise
        return 0
    # A lease that began with the sending could be over by now, and the next piece of news would count as in doubt.
    at += timedelta(seconds=time.monotonic() - began_s)
    _note_sent(message, following=following, now=now, at=at)
    return 1


def _may_go_out(message: OutboxMessage, *, at: datetime) -> bool:
    """True if what the row must say before the server gets it stands there, and will for as long as that takes."""
    is_surely_ours = message.lease_until_at is not None and at + ENOUGH <= message.lease_until_at
    return is_surely_ours and (message.kind != Kind.CAMPAIGN or message.is_data_handed_over)


def _note_sent(message: OutboxMessage, *, following: OutboxMessage | None, now: datetime, at: datetime) -> None:
    """Note it, and in the same commit that the next piece of news is handed over: one for each mail, not two."""
    if following is None or following.kind != Kind.CAMPAIGN or following.is_data_handed_over:
        _note(message, "state = %s, sent_at = %s, lease_until_at = NULL, last_error = ''", State.SENT.value, now)
        return
    until, one, next_one = at + LEASE, message.pk, following.pk
    sent, sending = State.SENT.value, State.SENDING.value
    noted = change(
        _SENT_AND_NEXT,
        [one, sent, one, now, next_one, until, one, one, next_one, True,
         sending, one, message.lease_until_at, next_one, following.lease_until_at],
    )  # fmt: skip
    # One row alone: a worker whose lease began later has the other, seldom enough to look which it is.
    if noted == 2 or (noted == 1 and _held_until(next_one, until).exists()):
        following.is_data_handed_over, following.lease_until_at = True, until


def _note(message: OutboxMessage, words: str, *values: str | bool | datetime) -> bool:
    """
    Write down what a sending needs, while the lease is this worker's; False where it no longer is.

    The same as `_held(…).update(…)`, said in SQL: to put that into SQL anew takes half as long as a mail takes to go.
    """
    ours = "id = %s AND state = %s AND lease_until_at = %s"
    asked = [*values, message.pk, State.SENDING.value, message.lease_until_at]
    return bool(change(f"UPDATE {_TABLE} SET {words} WHERE {ours}", asked))  # noqa: S608 - our own words


def _held(message: OutboxMessage) -> QuerySet[OutboxMessage]:
    """The row while the lease in it is this worker's."""
    return _held_until(message.pk, message.lease_until_at)


def _held_until(pk: int, lease_until_at: datetime | None) -> QuerySet[OutboxMessage]:
    return OutboxMessage.objects.filter(pk=pk, state=State.SENDING, lease_until_at=lease_until_at)


def _note_failure(message: OutboxMessage, *, failure: TemporaryFailure, now: datetime) -> None:
    is_over = failure.permanent or message.attempts >= MAX_ATTEMPTS
    _held(message).update(
        state=State.STUCK if is_over else State.PENDING,
        lease_until_at=None,
        is_data_handed_over=False,
        due_at=now + pause_after(message.attempts),
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
        _held(message).update(
            state=State.PENDING, lease_until_at=None, is_data_handed_over=False, attempts=F("attempts") - 1,
            due_at=due_at,
        )  # fmt: skip


def _without_unwanted(messages: list[OutboxMessage]) -> list[OutboxMessage]:
    unwanted = _unwanted(messages)
    for message in messages:
        if message.pk in unwanted:
            _held(message).update(state=State.DROPPED, lease_until_at=None)
    return [message for message in messages if message.pk not in unwanted]


def _unwanted(messages: Sequence[OutboxMessage]) -> set[int]:
    """The news among them that somebody has ended, or whose address takes no mail: asked once more as it goes out."""
    news = [message for message in messages if message.kind == Kind.CAMPAIGN]
    if not news:
        return set()
    said = Suppression.objects.filter(show__in={message.show_id for message in news}).values_list("show", "email")
    ended = {(show, email.casefold()) for show, email in said}
    hard = Bounce.objects.filter(kind=Bounce.Kind.HARD).values_list("email", flat=True)
    dead = {email.casefold() for email in hard.distinct()}
    return {
        message.pk
        for message in news
        if (message.show_id, message.recipient.casefold()) in ended or message.recipient.casefold() in dead
    }


def settle_unknown(*, message: OutboxMessage, resend: bool, now: datetime) -> bool:
    """The artist's word on a mail that was given up, or that may or may not have gone out. True if it was open."""
    moved = OutboxMessage.objects.filter(pk=message.pk, state__in=[State.UNKNOWN, State.STUCK])
    if resend:
        return moved.update(state=State.PENDING, due_at=now, attempts=0, is_data_handed_over=False) == 1
    return moved.filter(state=State.UNKNOWN).update(state=State.SENT, sent_at=now) == 1
