"""manage.py import_show FOLDER: a show folder into the database, whole or not at all."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from campaign.errors import Refusal
from campaign.services.plans import refresh_staircase
from campaign.services.shows import import_show
from campaign.showfolder.folder import read_show_folder


class Command(BaseCommand):
    """A verdict for every row, then the import unless --check was given or a row was refused."""

    help = "Read a show folder: all rows go in, or none. A second import of the same folder changes nothing."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("folder", help="the folder with the settings file, the tables and the pictures")
        parser.add_argument("--check", action="store_true", help="only say what becomes of each row; write nothing")

    def handle(self, *args: Any, folder: str, check: bool, **options: Any) -> None:
        read = read_show_folder(folder)
        for verdict in read.verdicts:
            self.stdout.write(verdict.line.replace("\n", ", "))
        if not read.ok:
            count = len(read.refusals)
            raise CommandError(f"{count} {'refusal' if count == 1 else 'refusals'}; nothing was stored.")
        if check:
            self.stdout.write("Nothing is refused. Nothing was stored, as --check asks.")
            return
        now = timezone.now()
        try:
            report = import_show(folder=read, now=now)
        except Refusal as refusal:
            raise CommandError(f"{refusal.sentence} Nothing was stored.") from refusal
        if report.is_unchanged:
            self.stdout.write(f"Nothing changed: the show “{report.show.code}” is as the folder says.")
            return
        for change in report.changes:
            self.stdout.write(change.line)
        run = refresh_staircase(show=report.show, now=now)
        self.stdout.write(
            f"The show “{report.show.code}” is {'new' if report.is_new else 'changed'}; steps of its staircase: "
            f"{len(run.steps)}, worked out in {run.milliseconds} ms."
        )
