"""News to the backers: writing, trying out, sending to all at once, and never to those who want none."""

from collections.abc import Mapping
from datetime import datetime, timedelta

from django.db import transaction

from campaign import mail
from campaign.errors import NotInThisState, NotReady
from campaign.models import Job, OutboxMessage, Pledge, Show, Suppression, Update
from campaign.outbox import enqueue_all

WAITING, DROPPED = OutboxMessage.State.PENDING, OutboxMessage.State.DROPPED
NEWS = "news"
GRACE = timedelta(seconds=60)  # a batch starts a minute after the click, so that it can be called off


@transaction.atomic(durable=True)
def write_update(*, show: Show, update: Update | None, title: str, body: str, now: datetime) -> Update:
    """
    Keep an update as written so far.

    Writes: Update.
    Raises: NotInThisState for one that has been sent.
    Repeat: the same words again change nothing.
    """
    if update is None:
        return Update.objects.create(show=show, title=title, body=body, written_at=now)
    current = Update.objects.select_for_update(no_key=True).get(pk=update.pk)
    if current.batch_id:
        raise NotInThisState(what="This update", state="sent already")
    current.title, current.body = title, body
    current.save(update_fields=["title", "body"])
    return current


@transaction.atomic(durable=True)
def try_update(*, update: Update, now: datetime) -> OutboxMessage:
    """
    Send an update to the artist alone.

    Mails: update_news to the studio's own address.
    Repeat: one mail per call.
    """
    return mail.update_trial(update=update, now=now)


def send_update(*, update: Update, now: datetime) -> Job:
    """
    Publish an update on the page and freeze its audience: one message per address that wants news.

    The messages go out after a minute of grace, from the outbox.
    Writes: Update, Job.
    Mails: update_news to each backer with a live order who asked for news.
    Raises: NotReady for an update without words.
    Repeat: the batch that is already there.
    """
    seen = Update.objects.select_related("show", "batch").get(pk=update.pk)
    if seen.batch:
        return seen.batch
    # Rendered for all before the write lock is taken: nobody's order waits for a thousand letters.
    letters = {one.key: one for one in mail.update_news(update=seen, pledges=_readers(seen.show), now=now)}
    return _send(update=seen, letters=letters, now=now)


@transaction.atomic(durable=True)
def _send(*, update: Update, letters: Mapping[str, OutboxMessage], now: datetime) -> Job:
    """The act itself: whoever came or went since `letters` were rendered is written to, or not."""
    current = Update.objects.select_for_update(no_key=True).get(pk=update.pk)  # a second click waits, and finds a batch
    if current.batch:
        return current.batch
    if not current.body.strip() or not current.title.strip():
        raise NotReady("Write a title and a few words first.")
    if (current.title, current.body) != (update.title, update.body):
        raise NotReady("The update was changed at the same moment. Read it once more before you send it.")
    readers = {mail.news_key(current, email=pledge.email): pledge for pledge in _readers(current.show)}
    late = [pledge for key, pledge in readers.items() if key not in letters]
    wanted = [*(letters[key] for key in readers if key in letters)]
    wanted += mail.update_news(update=current, pledges=late, now=now)
    _forget_called_off(current)
    job = Job.objects.create(
        show=current.show,
        kind=NEWS,
        key=f"news:{current.code}:{Job.objects.filter(key__startswith=f'news:{current.code}').count()}",
        title=f"Update “{current.title}” to {len(readers)} people",
        total=len(readers),
        starts_at=now + GRACE,
        created_at=now,
    )
    for message in wanted:
        message.batch, message.due_at = job, now + GRACE
    enqueue_all(wanted)
    _count_batch(job, now=now)
    current.batch, current.published_at = job, now
    current.save(update_fields=["batch", "published_at"])
    return job


def _forget_called_off(update: Update) -> None:
    """Messages of an earlier batch that was called off: their words may be old. Those that went out stay."""
    OutboxMessage.objects.filter(key__startswith=f"update_news:{update.code}:", state=DROPPED).delete()


def _count_batch(job: Job, *, now: datetime) -> None:
    """People who got the news from a batch that was called off half way are not counted again."""
    job.total = job.messages.count()
    if job.total == 0:  # nobody to write to: nothing would ever move the job on
        job.state, job.finished_at = Job.State.DONE, now
    job.save(update_fields=["total", "state", "finished_at"])


def _readers(show: Show) -> list[Pledge]:
    """One pledge per address: live orders of people who asked for news and have not taken it back."""
    unwilling = {email.casefold() for email in show.suppressions.values_list("email", flat=True)}
    readers: dict[str, Pledge] = {}
    live = show.pledges.filter(state__in=[Pledge.State.HELD, Pledge.State.PAID], wants_updates=True)
    for pledge in live.select_related("show"):
        if pledge.email.casefold() not in unwilling:
            readers.setdefault(pledge.email.casefold(), pledge)
    return list(readers.values())


@transaction.atomic(durable=True)
def call_off_batch(*, job: Job, now: datetime) -> int:
    """
    Call off a batch of news: what has not gone out yet will not. Any other job goes on: its mails are owed.

    Writes: Job, OutboxMessage, and the update goes back to being written.
    Repeat: nothing left to call off. Returns how many messages were stopped.
    """
    running = Job.objects.filter(pk=job.pk, kind=NEWS, state__in=[Job.State.WAITING, Job.State.RUNNING])
    moved = running.update(state=Job.State.CANCELLED, finished_at=now)
    if moved == 0:
        return 0
    Update.objects.filter(batch=job).update(batch=None, published_at=None)
    return OutboxMessage.objects.filter(batch=job, state=WAITING).update(state=DROPPED)


def follow_batches(*, now: datetime) -> int:
    """
    Move the progress of running mail batches on from their messages; what the sweep calls.

    Returns how many batches are still under way.
    """
    under_way = 0
    open_states = [OutboxMessage.State.PENDING, OutboxMessage.State.SENDING]
    for job in Job.objects.filter(messages__isnull=False, state__in=[Job.State.WAITING, Job.State.RUNNING]).distinct():
        left = job.messages.filter(state__in=open_states).count()
        done = job.total - left
        is_over = left == 0
        if is_over:
            state, finished_at = Job.State.DONE, now
        else:
            state, finished_at = (Job.State.RUNNING if now >= job.starts_at else Job.State.WAITING), None
            under_way += 1
        Job.objects.filter(pk=job.pk, state=job.state).update(state=state, done=done, finished_at=finished_at)
    return under_way


@transaction.atomic(durable=True)
def stop_news(*, pledge: Pledge, now: datetime) -> None:
    """
    No more news of this show to this person; mail about their own order still comes.

    Writes: Suppression.
    Repeat: stays stopped.
    """
    Suppression.objects.get_or_create(show=pledge.show, email=pledge.email.casefold(), defaults={"created_at": now})
