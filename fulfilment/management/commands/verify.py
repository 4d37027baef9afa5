"""manage.py verify: recompute every derived figure, and stop at the first that differs."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from campaign.services.checks.snapshot import snapshot
from fulfilment.services.checks import ALL_CHECKS


class Command(BaseCommand):
    """One line per check. In this app because it looks at parcels too."""

    help = "Recompute every derived figure from its rows; exit status 1 on the first difference."

    def handle(self, *args: Any, **options: Any) -> None:
        looked_at = 0
        with snapshot():
            for check in ALL_CHECKS:
                found = check()
                looked_at += found.looked_at
                self.stdout.write(found.line)
                if found.difference:
                    raise CommandError("A figure differs from its rows; nothing was changed.")
        self.stdout.write(f"{looked_at} rows and sums were looked at.")
        self.stdout.write("All figures agree with their rows.")
