"""manage.py restore FOLDER: put a backup in the place of the present database, and prove that it is whole."""

import time
from datetime import timedelta
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import DatabaseError
from django.utils import timezone

from campaign.backup import differences, list_erased_orders, put_back, read_manifest
from campaign.errors import Refusal
from campaign.models import Pulse, Show
from fulfilment.services.people import erase_again

RUNNING = timedelta(minutes=1)


class Command(BaseCommand):
    """Checksum, replacement, figures against the manifest, migrations, erasures again, verify; any no stops it."""

    help = "Put a backup back. Stop the site first; what was recorded since the backup is gone."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("folder", type=Path, help="a folder that manage.py backup has made")
        parser.add_argument("--replace", action="store_true", help="even though there are shows in the database now")

    def handle(self, *args: Any, folder: Path, replace: bool, **options: Any) -> None:
        started = time.monotonic()
        try:
            manifest = read_manifest(folder)
            erased = {*manifest.erased_orders, *self._present(replace=replace)}
            put_back(folder, manifest=manifest)
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from refusal
        found = list(differences(manifest))
        if found:
            raise CommandError(f"The database is not what the manifest says: {found[0]}. Use another backup.")
        call_command("migrate", verbosity=0)
        again = erase_again(sorted(erased), now=timezone.now())
        words = f"{again} erased {'order' if again == 1 else 'orders'} erased again"
        call_command("verify", stdout=self.stdout)
        self.stdout.write(
            f"The backup of {manifest.taken_at} is back: {sum(manifest.rows.values()):,} rows, 0 differences, "
            f"{words}, in {time.monotonic() - started:.1f} s. "
            "Start the site; orders and payments recorded since then are to be entered again."
        )

    def _present(self, *, replace: bool) -> list[str]:
        """Orders erased so far in the database that goes; refused while a site is at work on it."""
        try:
            shows = Show.objects.count()
            is_running = Pulse.objects.filter(at__gte=timezone.now() - RUNNING).exists()
            erased = list_erased_orders()
        except DatabaseError:  # empty, older or damaged: what a restore is for
            return []
        if is_running:
            raise CommandError("The site is at work on this database. Stop it, wait a minute, then start again.")
        if shows and not replace:
            raise CommandError(
                f"There are {shows} shows in the database. Add --replace to put the backup in their place."
            )
        return erased
