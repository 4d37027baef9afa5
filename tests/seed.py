"""
A small published show whose campaign is open today: `python -m tests.seed COPIES`, in the database of the settings.

A program of its own, because the database belongs to other processes than the test's.
"""

import os
import sys
from datetime import timedelta

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from django.core.management import call_command  # noqa: E402 - needs django.setup()
from django.utils import timezone  # noqa: E402

from tests.builders import make_show  # noqa: E402


def main(copies: int) -> None:
    """Migrate, and make the show unless it is there."""
    call_command("migrate", interactive=False, verbosity=0)
    now = timezone.now()
    today = now.date()
    make_show(
        copies=copies,
        opens_at=now - timedelta(days=1),
        closes_at=now + timedelta(days=20),
        cancel_until_on=today + timedelta(days=20),
        posting_by_on=today + timedelta(days=60),
        hang_on=today + timedelta(days=50),
        opening_at=now + timedelta(days=51),
        last_day_on=today + timedelta(days=80),
    )


if __name__ == "__main__":
    main(int(sys.argv[1]))
