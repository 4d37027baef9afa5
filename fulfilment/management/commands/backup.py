"""manage.py backup FOLDER: the whole database and a manifest, while the site goes on."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from campaign.backup import write_backup
from campaign.errors import Refusal


class Command(BaseCommand):
    """Pictures and papers are in the database too, so this is everything but the settings."""

    help = "Copy the database into a new folder, with a manifest of its checksum, row counts and cash book sums."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("folder", type=Path, help="a folder that does not exist yet, best on another disk")

    def handle(self, *args: Any, folder: Path, **options: Any) -> None:
        try:
            manifest = write_backup(folder, now=timezone.now())
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from refusal
        rows = sum(manifest.rows.values())
        self.stdout.write(
            f"{manifest.file}: {manifest.bytes:,} bytes, {rows:,} rows of {len(manifest.rows)} tables, in {folder}. "
            "It holds names and addresses: keep it where only you can read it."
        )
