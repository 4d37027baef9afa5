"""
Steps of the batch test, in the database of the settings: `python -m tests.faults.batch STEP`.

`write COUNT` has so many people give and writes them an update whose minute of grace is over. `later ALL` is as if the
pauses after a "not now" were over; with ALL = 1, which is for when nobody is at work, also the two minutes of every
lease that a killed process left behind. What may or may not have gone out is sent again, as the artist decides who
reads the studio's list of mails. It prints what is left.
"""

import json
import os
import sys
import uuid

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from django.utils import timezone  # noqa: E402 - needs django.setup()

from campaign.models import OutboxMessage, Show  # noqa: E402
from campaign.outbox import settle_unknown  # noqa: E402
from campaign.services.pledges import Order, place_pledge  # noqa: E402
from campaign.services.updates import GRACE, send_update, write_update  # noqa: E402

State = OutboxMessage.State


def write(count: int) -> None:
    """Gifts through the real service, then the news to all of them."""
    show, now = Show.objects.get(), timezone.now()
    for number in range(count):
        order = Order(
            name=f"Giver {number}", email=f"giver-{number}@example.org", way="transfer", gift_minor=1_000,
            wants_updates=True,
        )  # fmt: skip
        place_pledge(show=show, request_key=uuid.uuid4(), order=order, now=now)
    update = write_update(show=show, update=None, title="Half way", body="The first wall is **paid**.", now=now)
    send_update(update=update, now=now - GRACE)


def later(is_all: int) -> None:
    """Time passes, the artist decides, and what is left is told."""
    now = timezone.now()
    if is_all:
        OutboxMessage.objects.filter(state=State.SENDING).update(lease_until_at=now)
    OutboxMessage.objects.filter(state=State.PENDING).update(due_at=now)
    unknown = OutboxMessage.objects.filter(state=State.UNKNOWN)
    again = sum(settle_unknown(message=message, resend=True, now=now) for message in unknown)
    states = OutboxMessage.objects.values_list("state", flat=True)
    left = sum(state != State.SENT for state in states)
    ids = {str(uid): to for uid, to in OutboxMessage.objects.values_list("uid", "recipient")}
    sys.stdout.write(json.dumps({"left": left, "resent_by_hand": again, "ids": ids}))


if __name__ == "__main__":
    step, *rest = sys.argv[1:]
    {"write": write, "later": later}[step](*map(int, rest))
