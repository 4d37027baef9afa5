"""Updates and the mails that carry them, as the studio shows them."""

from collections import Counter
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from django.db.models import Count, QuerySet

from campaign.models import Job, OutboxMessage, Pledge, Show, Update
from campaign.queries.audience import list_returned


def list_updates(show: Show) -> QuerySet[Update]:
    """Updates of `show`, newest first, each with its batch."""
    return show.updates.select_related("batch")


def list_published(show: Show) -> QuerySet[Update]:
    """News that stands on the page, the newest first."""
    on_page = show.updates.filter(published_at__isnull=False, is_on_page=True)
    return on_page.order_by("-published_at", "-pk")


@dataclass(frozen=True, slots=True)
class Month:
    """The news of one month, by the show's own calendar; `first_on` is its first day."""

    first_on: date
    news: tuple[Update, ...]


def list_months(show: Show) -> tuple[Month, ...]:
    """Published news by month, the newest first."""

    def month_of(update: Update) -> date:
        assert update.published_at is not None, "only published news is listed"
        return update.published_at.astimezone(show.zone).date().replace(day=1)

    return tuple(Month(first_on, tuple(news)) for first_on, news in groupby(list_published(show), key=month_of))


def count_readers(show: Show) -> int:
    """How many people an update to all would go to now: addresses with a live order that want news and get mail."""
    unwilling = {email.casefold() for email in show.suppressions.values_list("email", flat=True)} | list_returned()
    live = show.pledges.filter(state__in=Pledge.LIVE, wants_updates=True)
    return len({email.casefold() for email in live.values_list("email", flat=True)} - unwilling)


@dataclass(frozen=True, slots=True)
class BatchCount:
    """How many mails of a batch are in which state."""

    label: str
    count: int


def count_batch(job: Job) -> tuple[BatchCount, ...]:
    """The states of a batch's mails in words, those that occur."""
    rows = job.messages.order_by().values_list("state").annotate(Count("pk"))
    counts = Counter(dict(rows))
    return tuple(BatchCount(str(state.label), counts[state]) for state in OutboxMessage.State if counts[state])


def list_unknown(job: Job) -> list[OutboxMessage]:
    """Mails of a batch that may or may not have gone out: the artist decides about each."""
    return list(job.messages.filter(state=OutboxMessage.State.UNKNOWN))


def list_mails(show: Show) -> QuerySet[OutboxMessage]:
    """Mails of `show`, the newest first, each with what came back."""
    return OutboxMessage.objects.filter(show=show).order_by("-pk").prefetch_related("bounces")
