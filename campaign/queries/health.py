"""Whether the site can do its work."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import DatabaseError
from django.db.models import Min

from campaign.models import OutboxMessage

# A sweep runs every two seconds; mail that has been due for this long means that no worker is at it.
LONGEST_WAIT = timedelta(minutes=10)


@dataclass(frozen=True, slots=True)
class Health:
    """Does the database answer, and for how many seconds has the oldest due mail been waiting."""

    has_database: bool
    oldest_mail_s: int

    @property
    def is_ready(self) -> bool:
        """All well."""
        return self.has_database and self.oldest_mail_s <= LONGEST_WAIT.total_seconds()


def read_health(*, now: datetime) -> Health:
    """From one query, which is the database's sign of life as well."""
    waiting = OutboxMessage.objects.filter(state=OutboxMessage.State.PENDING, due_at__lte=now)
    try:
        oldest = waiting.aggregate(at=Min("due_at"))["at"]
    except DatabaseError:
        return Health(has_database=False, oldest_mail_s=0)
    return Health(has_database=True, oldest_mail_s=int((now - oldest).total_seconds()) if oldest else 0)
