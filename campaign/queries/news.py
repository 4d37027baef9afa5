"""Updates and the mails that carry them, as the studio shows them."""

from collections import Counter
from dataclasses import dataclass

from django.db.models import Count, QuerySet

from campaign.models import Job, OutboxMessage, Pledge, Show, Update


def list_updates(show: Show) -> QuerySet[Update]:
    """Updates of `show`, newest first, each with its batch."""
    return show.updates.select_related("batch")


def count_readers(show: Show) -> int:
    """How many people an update would go to now: addresses with a live order that want news."""
    unwilling = {email.casefold() for email in show.suppressions.values_list("email", flat=True)}
    live = show.pledges.filter(state__in=[Pledge.State.HELD, Pledge.State.PAID], wants_updates=True)
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
    """Mails of `show`, the newest first."""
    return OutboxMessage.objects.filter(show=show).order_by("-pk")
