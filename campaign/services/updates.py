"""News: writing, trying out, sending at once or at a moment set before, and never to those who want none."""

from collections.abc import Mapping
from datetime import datetime, timedelta

from django.db import transaction

from campaign import mail
from campaign.errors import NotInThisState, NotReady
from campaign.models import Job, OutboxMessage, Pledge, Show, Suppression, Update, Waiter
from campaign.outbox import enqueue_all
from campaign.queries.audience import Reader, audience_of
from campaign.services.batches import NOT_OVER
from campaign.services.rows import each

NOT_OUT, DROPPED = (OutboxMessage.State.PENDING, OutboxMessage.State.PAUSED), OutboxMessage.State.DROPPED
NEWS = "news"
GRACE = timedelta(seconds=60)  # a batch starts a minute after the click, so that it can be called off
AT_ONCE = timedelta(0)  # a moment that was set beforehand could be called off until it came
LONGEST_TITLE = 90  # of an update within the title of its batch
WORDS = ("title", "body", "segment", "country", "is_on_page")


@transaction.atomic(durable=True)
def write_update(
    *,
    show: Show,
    update: Update | None,
    title: str,
    body: str,
    segment: str = Update.Segment.ALL,
    country: str = "",
    is_on_page: bool = True,
    now: datetime,
) -> Update:
    """
    Keep an update as written so far, with whom it is for; a moment set for it stays.

    Writes: Update.
    Raises: NotInThisState for one that has been sent; NotReady for a country segment without a country, and for no
        words in one that goes out by itself.
    Repeat: the same words again change nothing.
    """
    if segment == Update.Segment.COUNTRY and not country:
        raise NotReady("Choose the country whose orders it is for.")
    country = country if segment == Update.Segment.COUNTRY else ""
    fields = {"title": title, "body": body, "segment": segment, "country": country, "is_on_page": is_on_page}
    if update is None:
        return Update.objects.create(show=show, written_at=now, **fields)
    current = _lock(update)
    if current.batch_id:
        raise NotInThisState(what="This update", state="sent already")
    for name, value in fields.items():
        setattr(current, name, value)
    if current.send_at:
        _check_words(current)
    current.save(update_fields=list(fields))
    return current


def _lock(update: Update) -> Update:
    return Update.objects.select_for_update(no_key=True).get(pk=update.pk)


@transaction.atomic(durable=True)
def try_update(*, update: Update, now: datetime) -> OutboxMessage:
    """
    Send an update to the artist alone.

    Mails: update_news to the studio's own address.
    Repeat: one mail per call.
    """
    return mail.update_trial(update=update, now=now)


@transaction.atomic(durable=True)
def set_send_at(*, update: Update, send_at: datetime, now: datetime) -> Update:
    """
    Let an update go out by itself at a moment to come, as it stands then.

    Writes: Update.send_at.
    Raises: NotReady for a moment that has passed and for an update without words; NotInThisState for one that was sent.
    Repeat: the later moment counts.
    """
    current = _lock(update)
    if current.batch_id:
        raise NotInThisState(what="This update", state="sent already")
    _check_words(current)
    if send_at <= now:
        zone = current.show.zone
        raise NotReady(
            f"{send_at.astimezone(zone):%-d %B %Y, %H:%M} has passed; it is {now.astimezone(zone):%-d %B %Y, %H:%M} at "
            "the show. Choose a later moment, or send the update now."
        )
    current.send_at = send_at
    current.save(update_fields=["send_at"])
    return current


@transaction.atomic(durable=True)
def forget_send_at(*, update: Update, now: datetime) -> bool:
    """
    Call off the moment that was set; the update goes on being written.

    Writes: Update.send_at.
    Repeat: nothing is set any more. False where there is nothing left to call off: nothing was set, or it went out.
    """
    waiting = Update.objects.filter(pk=update.pk, batch=None, send_at__isnull=False)
    return waiting.update(send_at=None) == 1


def send_due_updates(*, now: datetime, limit: int = 10) -> int:
    """
    Send the updates whose moment has come, late ones too, each once; what the sweep calls.

    Writes and mails: as `send_update`, without the minute of grace.
    Repeat: nothing is left to do. Returns how many were sent.
    """
    due = Update.objects.filter(send_at__lte=now, batch=None).order_by("send_at", "pk")[:limit]
    return each(lambda update: _send_due(update, now=now), due)


def _send_due(update: Update, *, now: datetime) -> int:
    try:
        job = send_update(update=update, now=now, is_by_itself=True)
    except NotReady:  # changed, put off or called off at this very moment: the next sweep looks again
        return 0
    return int(job.created_at == now)  # another sweep may have been quicker


def send_update(*, update: Update, now: datetime, is_by_itself: bool = False) -> Job:
    """
    Publish an update and freeze its audience: one message per address of its segment that wants news.

    The messages go out after a minute of grace, from the outbox; at once when it goes out by itself.
    Writes: Update, Job.
    Mails: update_news to each reader of its segment, see `queries/audience.py`.
    Raises: NotReady for an update without words, and one that was changed, put off or called off at the same moment.
    Repeat: the batch that is already there.
    """
    seen = Update.objects.select_related("show", "batch").get(pk=update.pk)
    if seen.batch:
        return seen.batch
    if is_by_itself and (seen.send_at is None or seen.send_at > now):
        raise NotReady("The moment of this update was changed. Nothing was sent.")
    # Rendered for all before the write lock is taken: nobody's order waits for a thousand letters.
    letters = {one.key: one for one in mail.update_news(update=seen, readers=_readers(seen), now=now)}
    return _send(update=seen, letters=letters, starts_at=now + (AT_ONCE if is_by_itself else GRACE), now=now)


def _check_words(update: Update) -> None:
    if not update.body.strip() or not update.title.strip():
        raise NotReady("Write a title and a few words first.")


def _readers(update: Update) -> tuple[Reader, ...]:
    return audience_of(update).readers


@transaction.atomic(durable=True)
def _send(*, update: Update, letters: Mapping[str, OutboxMessage], starts_at: datetime, now: datetime) -> Job:
    """The act itself: whoever came or went since `letters` were rendered is written to, or not."""
    current = _lock(update)  # a second click waits, and finds a batch
    if current.batch:
        return current.batch
    _check_words(current)
    if any(getattr(current, name) != getattr(update, name) for name in (*WORDS, "send_at")):
        raise NotReady("The update was changed at the same moment. Read it once more before you send it.")
    readers = {mail.news_key(current, email=reader.email): reader for reader in _readers(current)}
    late = [reader for key, reader in readers.items() if key not in letters]
    wanted = [*(letters[key] for key in readers if key in letters)]
    wanted += mail.update_news(update=current, readers=late, now=now)
    _forget_called_off(current)
    job = Job.objects.create(
        show=current.show,
        kind=NEWS,
        key=f"news:{current.code}:{Job.objects.filter(key__startswith=f'news:{current.code}').count()}",
        title=_batch_title(current, people=len(readers)),
        total=len(readers),
        starts_at=starts_at,
        created_at=now,
    )
    for message in wanted:
        message.batch, message.due_at = job, starts_at
    enqueue_all(wanted)
    _count_batch(job, now=now)
    current.batch, current.published_at = job, now
    current.save(update_fields=["batch", "published_at"])
    return job


def _batch_title(update: Update, *, people: int) -> str:
    title = update.title if len(update.title) <= LONGEST_TITLE else f"{update.title[: LONGEST_TITLE - 1].rstrip()}…"
    return f"Update “{title}” to {people} {'person' if people == 1 else 'people'}"


def _forget_called_off(update: Update) -> None:
    """Messages of an earlier batch that was called off: their words may be old. Those that went out stay."""
    OutboxMessage.objects.filter(key__startswith=f"update_news:{update.code}:", state=DROPPED).delete()


def _count_batch(job: Job, *, now: datetime) -> None:
    """People who got the news from a batch that was called off half way are not counted again."""
    job.total = job.messages.count()
    if job.total == 0:  # nobody to write to: nothing would ever move the job on
        job.state, job.finished_at = Job.State.DONE, now
    job.save(update_fields=["total", "state", "finished_at"])


@transaction.atomic(durable=True)
def call_off_batch(*, job: Job, now: datetime) -> int:
    """
    Call off a batch of news: what has not gone out yet will not. Any other job goes on: its mails are owed.

    Writes: Job, OutboxMessage, and the update goes back to being written, without a moment set for it.
    Repeat: nothing left to call off. Returns how many messages were stopped.
    """
    running = Job.objects.filter(pk=job.pk, kind=NEWS, state__in=NOT_OVER)
    moved = running.update(state=Job.State.CANCELLED, finished_at=now)
    if moved == 0:
        return 0
    Update.objects.filter(batch=job).update(batch=None, published_at=None, send_at=None)
    return OutboxMessage.objects.filter(batch=job, state__in=NOT_OUT).update(state=DROPPED)


@transaction.atomic(durable=True)
def stop_news(*, pledge: Pledge, now: datetime) -> None:
    """
    No more news of this show to this person; mail about their own order still comes.

    Writes: Suppression.
    Repeat: stays stopped. An order whose person was removed has no address to stop.
    """
    _suppress(pledge.show, email=pledge.email, now=now)


@transaction.atomic(durable=True)
def stop_list_news(*, waiter: Waiter, now: datetime) -> None:
    """
    No more news of this show to somebody who waits for a copy; the place in the list stays, and its offer comes.

    Writes: Suppression.
    Repeat: stays stopped.
    """
    _suppress(waiter.edition.show, email=waiter.email, now=now)


def _suppress(show: Show, *, email: str, now: datetime) -> None:
    if email:
        Suppression.objects.get_or_create(show=show, email=email.casefold(), defaults={"created_at": now})
