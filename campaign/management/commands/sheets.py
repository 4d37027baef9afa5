"""manage.py sheets SHOW: the cash book and the pledges as files, or a cash book file held against the book."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from campaign.models import Show
from campaign.services.exports import FORMATS, compare_cash_book, write_export
from campaign.sheets import UnreadableSheet

TABLES = ("cash-book", "pledges", "to-send")


class Command(BaseCommand):
    """Files are read back before they count as written; the book itself is never written from one."""

    help = "Write a show's cash book and pledges as CSV and XLSX, or compare an exported cash book with the database."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("show", help="the show's code, such as demo")
        group = parser.add_mutually_exclusive_group(required=True)
        group.add_argument("--to", type=Path, metavar="FOLDER", help="write all files there")
        group.add_argument("--compare", type=Path, metavar="FILE", help="an exported cash book, CSV or XLSX")

    def handle(self, *args: Any, show: str, to: Path | None, compare: Path | None, **options: Any) -> None:
        found = Show.objects.filter(code=show).first()
        if found is None:
            known = ", ".join(Show.objects.values_list("code", flat=True)) or "none; import one first"
            raise CommandError(f"There is no show “{show}”. There are: {known}.")
        if compare:
            self._compare(found, path=compare)
        elif to:
            self._write(found, folder=to)

    def _write(self, show: Show, *, folder: Path) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        for what in TABLES:
            for file_format in FORMATS:
                file = write_export(show=show, what=what, file_format=file_format)
                (folder / file.name).write_bytes(file.data)
                self.stdout.write(f"{file.name}: {file.rows} lines, read back without a difference")

    def _compare(self, show: Show, *, path: Path) -> None:
        try:
            found = compare_cash_book(show=show, data=path.read_bytes())
        except (OSError, UnreadableSheet) as fault:
            raise CommandError(f"{path.name}: {fault}") from fault
        for difference in found.differences:
            self.stdout.write(difference)
        if not found.is_same:
            raise CommandError("The file differs from the cash book; nothing was changed.")
        self.stdout.write(f"{found.in_file} lines, nothing differs.")
