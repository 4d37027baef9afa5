"""Signs of life in the database, because a process can be there and do nothing."""

from datetime import datetime, timedelta

from campaign.models import Pulse

SWEEP = "sweep"
EVERY = timedelta(seconds=10)  # written no more often: a commit costs a disk's patience


def beat(*, name: str, now: datetime) -> int:
    """
    Say that `name` is alive at `now`.

    Writes: Pulse. Repeat: within ten seconds nothing is written. Returns 1 if it was written.
    """
    if Pulse.objects.filter(name=name, at__gt=now - EVERY, at__lte=now).exists():
        return 0
    Pulse.objects.update_or_create(name=name, defaults={"at": now})
    return 1


def beat_sweep(*, now: datetime) -> int:
    """The sweep's own sign of life; its first step."""
    return beat(name=SWEEP, now=now)
