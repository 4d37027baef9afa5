"""The recount of all figures that goes on by itself, once an hour, and what it found."""

import logging
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction

from campaign.models import Verification
from campaign.services.checks import Check
from campaign.services.checks.snapshot import snapshot

log = logging.getLogger(__name__)
KEPT = timedelta(days=30)


def verify_hourly(*, checks: Sequence[Check], clock: Callable[[], datetime]) -> str:
    """
    Go through `checks` once in each clock hour, whoever asks, and keep what they found.

    Writes: Verification; those of more than 30 days ago go.
    Repeat: within the same hour nothing is done. Returns what came of it, in words.
    """
    now = clock()
    try:
        with transaction.atomic():  # the row is the claim: of two workers one gets it
            row = Verification.objects.create(hour_at=now.replace(minute=0, second=0, microsecond=0), began_at=now)
    except IntegrityError:
        return "done already"
    looked_at, difference = run_checks(checks)
    Verification.objects.filter(pk=row.pk).update(looked_at=looked_at, difference=difference[:500], ended_at=clock())
    Verification.objects.filter(hour_at__lt=now - KEPT).delete()
    if difference:
        log.error("a figure differs from its rows: %s", difference)
    return difference or "agrees"


def run_checks(checks: Sequence[Check]) -> tuple[int, str]:
    """How many things were looked at, and the first difference with its subject; empty where all agrees."""
    looked_at = 0
    with snapshot():
        for check in checks:
            found = check()
            looked_at += found.looked_at
            if found.difference:
                return looked_at, f"{found.subject}: {found.difference}"
    return looked_at, ""
