"""Whether the site can do its work, and the figures somebody who watches over it wants to draw."""

import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db import DatabaseError
from django.db.models import Count, Min, Q

from campaign.models import BankLine, Copy, Job, OutboxMessage, Pledge, ProcessorEvent, Pulse, Refund, Show

# A sweep runs every two seconds; mail that has been due for this long means that no worker is at it.
LONGEST_WAIT = timedelta(minutes=10)
LONGEST_SILENCE = timedelta(minutes=2)  # of the sweep: a process can be there and be deaf
LEAST_FREE_BYTES = 100_000_000
NEVER = -1


@dataclass(frozen=True, slots=True)
class Health:
    """
    Does the database answer; seconds the oldest due mail has waited; seconds since the last sweep (-1: never).

    `stuck_mails` could not be sent or may have been; `free_bytes` are left where the data is kept.
    """

    has_database: bool
    oldest_mail_s: int
    sweep_age_s: int = NEVER
    stuck_mails: int = 0
    free_bytes: int = 0

    @property
    def is_ready(self) -> bool:
        """All well. Stuck mail is the artist's to look at and takes nothing from the site."""
        return (
            self.has_database
            and self.oldest_mail_s <= LONGEST_WAIT.total_seconds()
            and 0 <= self.sweep_age_s <= LONGEST_SILENCE.total_seconds()
            and self.free_bytes >= LEAST_FREE_BYTES
        )


def read_health(*, now: datetime) -> Health:
    """From two queries, which are the database's sign of life as well."""
    State = OutboxMessage.State
    stuck = Count("pk", filter=Q(state__in=[State.STUCK, State.UNKNOWN]))
    oldest = Min("due_at", filter=Q(state=State.PENDING, due_at__lte=now))
    free = shutil.disk_usage(settings.DATA).free
    try:
        mails = OutboxMessage.objects.aggregate(oldest=oldest, stuck=stuck)
        pulse = Pulse.objects.filter(name="sweep").values_list("at", flat=True).first()
    except DatabaseError:
        return Health(has_database=False, oldest_mail_s=0, free_bytes=free)
    return Health(
        has_database=True,
        oldest_mail_s=int((now - mails["oldest"]).total_seconds()) if mails["oldest"] else 0,
        sweep_age_s=max(0, int((now - pulse).total_seconds())) if pulse else NEVER,
        stuck_mails=mails["stuck"],
        free_bytes=free,
    )


@dataclass(frozen=True, slots=True)
class Gauge:
    """One figure with what it means; labels are (name, value) pairs."""

    name: str
    meaning: str
    values: tuple[tuple[tuple[tuple[str, str], ...], int], ...]


def read_gauges(*, now: datetime) -> Iterator[Gauge]:
    """Figures about the whole installation; counts only, nothing about a person."""
    health = read_health(now=now)
    yield _one("wallful_ready", "1 while the site can do its work", int(health.is_ready))
    yield _one("wallful_outbox_oldest_seconds", "how long the oldest due mail has waited", health.oldest_mail_s)
    yield _one("wallful_sweep_age_seconds", "since the last sweep; -1 is never", health.sweep_age_s)
    yield _one("wallful_disk_free_bytes", "left where the data is kept", health.free_bytes)
    yield _by("wallful_mails", "mails by state", OutboxMessage.objects, OutboxMessage.State.values)
    yield _by("wallful_pledges", "orders and gifts by state", Pledge.objects, Pledge.State.values)
    yield _by("wallful_copies", "copies of all editions by state", Copy.objects, Copy.State.values)
    yield _by("wallful_jobs", "long work by state", Job.objects, Job.State.values)
    yield _by("wallful_refunds", "sums to give back by state", Refund.objects, Refund.State.values)
    yield _by("wallful_bank_lines", "bank lines by state", BankLine.objects, BankLine.State.values)
    waiting = ProcessorEvent.objects.filter(applied_at=None).count()
    yield _one("wallful_processor_events_waiting", "told by the card processor and not applied", waiting)
    late = Pledge.objects.filter(state=Pledge.State.HELD, hold_until_at__lt=now).count()
    yield _one("wallful_pledges_past_their_time", "orders whose time to pay is over and that are still held", late)
    open_shows = Show.objects.filter(state=Show.State.OPEN).count()
    yield _one("wallful_shows_open", "shows that take orders", open_shows)


def _one(name: str, meaning: str, value: int) -> Gauge:
    return Gauge(name, meaning, (((), value),))


def _by(name: str, meaning: str, rows: Any, states: list[str]) -> Gauge:
    counted = dict(rows.order_by().values_list("state").annotate(Count("pk")))
    return Gauge(name, meaning, tuple(((("state", state),), counted.get(state, 0)) for state in states))
