"""manage.py bounces [FILE…|-]: read mail that came back, whatever it comes in."""

import sys
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from campaign.services.bounces import Taken, take_path, take_stream


class Command(BaseCommand):
    """Rubbish is skipped with its reason and is no error; the files stay as they are."""

    help = "Read delivery status notifications (RFC 3464) and keep which addresses get no mail."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "files", nargs="*", metavar="FILE", help="a mail, an mbox file or a maildir folder; - for standard input"
        )

    def handle(self, *args: Any, files: list[str], **options: Any) -> None:
        wanted = files or ([settings.BOUNCES] if settings.BOUNCES else [])
        if not wanted:
            raise CommandError("Name a mail, an mbox file or a maildir folder, or set WALLFUL_BOUNCES.")
        taken, now = Taken(), timezone.now()
        for name in wanted:
            if name == "-":
                take_stream(stream=sys.stdin.buffer, name="standard input", taken=taken, now=now)
            else:
                take_path(path=Path(name), taken=taken, now=now)
        for reason in taken.reasons:
            self.stdout.write(f"Skipped {reason}.")
        self.stdout.write(
            f"{taken.hard} lasting and {taken.soft} passing failures are new, {taken.known} were known, "
            f"{taken.skipped} mails were skipped."
        )
