"""Telling everybody who waits that posting is late, taking their answers, and carrying out what silence means."""

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import IntegrityError, transaction
from django.db.models import Q

from campaign import mail
from campaign.errors import NotInThisState, NotReady
from campaign.models import Job, LastStep, LateAnswer, LateNotice, OutboxMessage, Pledge, Show
from campaign.outbox import enqueue_all
from campaign.planning.law.late_posting import FAIR_DAYS
from campaign.planning.law.regions import Region
from campaign.queries.late import (
    CANCEL,
    WAIT,
    LateOrder,
    list_concerned,
    read_late_order,
    read_late_orders,
    with_notice,
)
from campaign.queries.money import received_for
from campaign.services.copies import give_back_copies
from campaign.services.owing import lock_pledge, owe_rest
from campaign.services.rows import each

KIND = "late"
GRACE = timedelta(seconds=60)  # as for news: until then it can be called off
ANSWER_DAYS = 14  # asked of those whose silence changes nothing
Message = OutboxMessage.State


def draft_notice(*, show: Show, new_on: date | None, reason: str, now: datetime) -> tuple[LateNotice, list[LateOrder]]:
    """
    The notice as it would be sent now, not written, and the orders it is for as they would be then.

    Raises: NotInThisState for a show that posts nothing; NotReady where nobody is to be told, a day has passed, or
        orders are still taken, for which a day must be stated.
    """
    today = now.astimezone(show.zone).date()
    if show.state in (Show.State.DRAFT, Show.State.CALLED_OFF):
        raise NotInThisState(what="The show", state=show.get_state_display())
    if new_on is not None and new_on < today:
        raise NotReady("The new day is past already. Nothing was sent.")
    if new_on is None and show.state == Show.State.OPEN:
        raise NotReady(
            "Orders are still taken, and each must state a posting day. Close the campaign first, or give a new day."
        )
    concerned = list_concerned(read_late_orders(show), new_on=new_on)
    if not concerned:
        raise NotReady("No order waits for a print that was promised earlier than that. Nothing was sent.")
    answer_until_on = today + timedelta(days=ANSWER_DAYS)
    notice = LateNotice(
        show=show,
        number=_next_number(show),
        old_on=show.posting_by_on,
        new_on=new_on,
        answer_until_on=min(answer_until_on, new_on) if new_on else answer_until_on,
        reason=reason,
        written_at=now,
    )
    orders = [with_notice(order, notice=notice) for order in concerned]
    notice.silent_end_on = _first(orders)
    return notice, orders


@dataclass(frozen=True, slots=True)
class Preview:
    """The mail as some of the orders would get it."""

    region: Region
    orders: int
    silent_end_on: date | None
    subject: str
    text: str


def preview_notice(*, show: Show, new_on: date | None, reason: str, now: datetime) -> list[Preview]:
    """
    The notice as it would go out now, once for each kind of reader: by region and what silence means. Writes nothing.

    Raises: as `draft_notice`.
    """
    _, orders = draft_notice(show=show, new_on=new_on, reason=reason, now=now)
    kinds: dict[tuple[object, ...], list[LateOrder]] = {}
    for one in orders:
        kinds.setdefault((one.region, one.silent_end_on, one.is_begun, len(one.told) > 1), []).append(one)
    mails = mail.late_notice(orders=[alike[0] for alike in kinds.values()], now=now, is_preview=True)
    return [
        Preview(alike[0].region, len(alike), alike[0].silent_end_on, message.subject, message.text)
        for alike, message in zip(kinds.values(), mails, strict=True)
    ]


def _next_number(show: Show) -> int:
    last = show.late_notices.order_by("-number").first()
    return last.number + 1 if last else 1


def send_late_notice(*, show: Show, request_key: uuid.UUID, new_on: date | None, reason: str, now: datetime) -> Job:
    """
    Tell every live order that waits for a copy: the new day or that there is none, and the choice.

    The mails go out after a minute of grace, from the outbox. The show states the new day from now on; what an order
    has agreed to stays until its backer says to wait.
    Writes: LateNotice, Job, Show.posting_by_on; deletes LastStep, which would put the old day back.
    Mails: late_notice to each.
    Raises: as `draft_notice`; NotReady if another notice was written at the same moment.
    Repeat: the same `request_key` gives the batch that is already there.
    """
    known = Job.objects.filter(key=_job_key(show, request_key)).first()
    if known:
        return known
    seen = Show.objects.get(pk=show.pk)
    notice, orders = draft_notice(show=seen, new_on=new_on, reason=reason, now=now)
    # Rendered before the write lock is taken: nobody's order waits for a thousand letters.
    letters = {one.key: one for one in mail.late_notice(orders=orders, now=now)}
    try:
        return _send(show_pk=show.pk, request_key=request_key, notice=notice, letters=letters, now=now)
    except IntegrityError:
        known = Job.objects.filter(key=_job_key(show, request_key)).first()
        if known is None:
            raise
        return known


def _job_key(show: Show, request_key: uuid.UUID) -> str:
    return f"{KIND}:{show.code}:{request_key}"


@transaction.atomic(durable=True)
def _send(
    *, show_pk: int, request_key: uuid.UUID, notice: LateNotice, letters: Mapping[str, OutboxMessage], now: datetime
) -> Job:
    """The act itself: who came, went or was posted since `letters` were rendered is written to, or not."""
    show = Show.objects.select_for_update(no_key=True).get(pk=show_pk)
    known = Job.objects.filter(key=_job_key(show, request_key)).first()
    if known:
        return known
    if notice.number != _next_number(show):
        raise NotReady("Another notice was sent at the same moment. Read it before you send one more.")
    current, orders = draft_notice(show=show, new_on=notice.new_on, reason=notice.reason, now=now)
    late = [one for one in orders if _mail_key(one) not in letters]
    wanted = [letters[_mail_key(one)] for one in orders if _mail_key(one) in letters]
    wanted += mail.late_notice(orders=late, now=now)
    current.batch = job = Job.objects.create(
        show=show, kind=KIND, key=_job_key(show, request_key), total=len(wanted), starts_at=now + GRACE, created_at=now,
        title=f"Notice of late posting to {len(wanted)} order{'' if len(wanted) == 1 else 's'}",
    )  # fmt: skip
    for message in wanted:
        message.batch, message.due_at = job, now + GRACE
    enqueue_all(wanted)
    current.save(force_insert=True)
    if notice.new_on is not None:
        Show.objects.filter(pk=show.pk).update(posting_by_on=notice.new_on)
        LastStep.objects.filter(show=show).delete()
    return job


def _mail_key(order: LateOrder) -> str:
    assert order.last is not None, "it was told by the notice"
    return f"late_notice:{order.pledge.code}:{order.last.notice.number}"


@transaction.atomic(durable=True)
def call_off_late_notice(*, job: Job, now: datetime) -> int:
    """
    Within the minute of grace: nobody has been told, and the day stated before holds again.

    Writes: Job, Show.posting_by_on; deletes LateNotice, OutboxMessage.
    Repeat: nothing left to call off, nor once a first mail is out: returns 0. Else how many mails were stopped.
    """
    current = Job.objects.select_for_update(no_key=True).get(pk=job.pk)
    notice = LateNotice.objects.filter(batch=current).select_related("show").first()
    if notice is None or now >= current.starts_at or current.is_over:
        return 0
    stopped: int = current.messages.filter(state=Message.PENDING).update(state=Message.DROPPED)
    if current.messages.exclude(state=Message.DROPPED).exists():
        raise NotReady("The first mails are on their way, so the notice stands.")
    current.messages.all().delete()  # the same number may be used again, with other words
    if notice.show.posting_by_on == notice.new_on:
        Show.objects.filter(pk=notice.show_id).update(posting_by_on=notice.old_on)
    notice.delete()
    Job.objects.filter(pk=current.pk).update(state=Job.State.CANCELLED, finished_at=now)
    return stopped


@transaction.atomic(durable=True)
def answer_late_notice(*, pledge: Pledge, number: int, word: str, now: datetime) -> LateAnswer:
    """
    A backer's word on notice `number`: will wait, or wants the money back. Waiting may become cancelling until posted.

    Whoever waits for a day has agreed to it: it is then the order's own posting date.
    Writes: LateAnswer; Pledge; for the money also Copy, Refund.
    Mails: late_cancelled.
    Raises: NotReady where no notice waits for this answer, or a part is on its way; NotInThisState once it has ended.
    Repeat: the same word again changes nothing; no second mail.
    """
    current = lock_pledge(pledge.pk)
    order = read_late_order(current)
    told, known = order.last, order.answer
    if told is None:
        raise NotReady("No notice of a delay was sent for this order, so there is nothing to answer.")
    if known and known.word == word:
        return known
    if not current.is_live:
        raise NotInThisState(what="This order", state=current.get_state_display())
    if told.notice.number != number:
        raise NotReady("Another notice was sent since. Read it first; your answer was not taken down.")
    if not order.is_waiting:
        raise NotReady("It is on its way already, so it can neither wait nor be cancelled here.")
    if order.is_begun and word == CANCEL:
        raise NotReady("A part of it is on its way already. Answer the mail, and what is left is settled by hand.")
    answer, _ = LateAnswer.objects.update_or_create(
        notice=told.notice, pledge=current, defaults={"word": word, "answered_at": now}
    )
    if word == WAIT and told.notice.new_on:
        Pledge.objects.filter(pk=current.pk).update(posting_by_on=told.notice.new_on)
    if word == CANCEL:
        _end(current, now=now)
    return answer


def _end(current: Pledge, *, now: datetime) -> None:
    """The order is cancelled, whole; the caller's transaction has locked it and knows that it is alive."""
    Pledge.objects.filter(pk=current.pk, state=current.state).update(state=Pledge.State.CANCELLED, ended_at=now)
    late = read_late_order(current)  # as it was told: afterwards it has no copy to tell of
    give_back_copies(current, now=now)
    current.refresh_from_db()
    owe_rest(pledge=current, key=f"cancelled:{current.code}", reason="The order was cancelled: late posting", now=now)
    mail.late_cancelled(pledge=current, late=late, received_minor=received_for(current), now=now)


def end_silent_orders(*, now: datetime, limit: int = 100) -> int:
    """
    Cancel the orders whose backers said nothing and whose silence cancels, once the day is over; what the sweep calls.

    Who may not have been told stays, and so does who was told only days ago because the mail went out late.

    Nothing to do costs one query of a small table. Who has answered to wait, or is posted in whole or in part, stays.
    Writes: Pledge, Copy, Refund; LateNotice.silent_end_on moves to the next such day.
    Mails: late_cancelled.
    Repeat: nothing is left to do. Returns how many orders ended.
    """
    ended = 0
    # By the calendar of Greenwich: a show's own may be a day ahead of it or behind, and is asked at the notice.
    for notice in LateNotice.objects.filter(silent_end_on__lte=now.date()).select_related("show"):
        show, today = notice.show, now.astimezone(notice.show.zone).date()
        if notice.silent_end_on is None or notice.silent_end_on >= today:
            continue
        over = [one.pledge for one in read_late_orders(show) if one.silent_end_on and one.silent_end_on < today]
        ended += each(lambda pledge: _end_silent(pledge, now=now), over[:limit])
        _move_on(notice)
    return ended


@transaction.atomic(durable=True)
def _end_silent(pledge: Pledge, *, now: datetime) -> int:
    current = lock_pledge(pledge.pk)
    until_on = read_late_order(current).silent_end_on  # posted, answered or ended at the same moment: none any more
    if not current.is_live or until_on is None or until_on >= now.astimezone(current.show.zone).date():
        return 0
    if not _was_told(current, now=now):
        return 0
    _end(current, now=now)
    return 1


def _was_told(pledge: Pledge, *, now: datetime) -> bool:
    """No notice to this order was held back or could not be delivered, and none went out only just now."""
    mails = OutboxMessage.objects.filter(key__startswith=f"late_notice:{pledge.code}:").exclude(state=Message.DROPPED)
    untold = Q(state__in=[Message.PAUSED, Message.STUCK]) | Q(state=Message.PENDING, attempts__gt=0)
    return not mails.filter(untold | Q(sent_at__gt=now - timedelta(days=FAIR_DAYS))).exists()


@transaction.atomic(durable=True)
def _move_on(notice: LateNotice) -> None:
    """The next day on which silence ends an order of the show; one that failed or was left over stays due."""
    next_on = _first(read_late_orders(notice.show))
    LateNotice.objects.filter(pk=notice.pk, silent_end_on=notice.silent_end_on).update(silent_end_on=next_on)


def _first(orders: Iterable[LateOrder]) -> date | None:
    return min((one.silent_end_on for one in orders if one.silent_end_on), default=None)
