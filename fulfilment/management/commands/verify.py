"""manage.py verify: recompute every derived figure, and stop at the first that differs."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from campaign.services import checks
from fulfilment.services import checks as parcel_checks


class Command(BaseCommand):
    """One line per check. In this app because it looks at parcels too."""

    help = "Recompute every derived figure from its rows; exit status 1 on the first difference."

    def handle(self, *args: Any, **options: Any) -> None:
        for check in (*checks.CHECKS, *parcel_checks.CHECKS):
            found = check()
            self.stdout.write(found.line)
            if found.difference:
                raise CommandError("A figure differs from its rows; nothing was changed.")
        self.stdout.write("All figures agree with their rows.")
